"""The plan's `pictures:`: what the layers are carried in, for programs that take different things."""

from enum import Enum
from typing import Annotated

from pydantic import BeforeValidator, Field, WithJsonSchema

from overlay.plan.fields import ONE_OR_MORE, Flag, Part, one_of
from overlay.plan.look import Look
from overlay.units.color import Color


class Carrier(Enum):
    """What a layer's pictures are carried in.

    `PRORES`, ProRes 4444 in QuickTime, is what most editing programs take; `QTRLE` is lossless, in 8 bits;
    `WEBM` is for browsers; `PNG` is a still a frame. The last two are for programs that know no alpha:
    `KEY` stands on a flat colour to be keyed out, `FILL_AND_MATTE` is one movie of the colours and one
    of the alpha as grey.
    """

    PRORES = "prores"
    QTRLE = "qtrle"
    WEBM = "webm"
    PNG = "png"
    KEY = "key"
    FILL_AND_MATTE = "fill-and-matte"

    def paths(self, layer: str) -> tuple[str, ...]:
        """Where a layer stands below the folder of a build; a still a frame in a folder of its own.

        >>> Carrier.FILL_AND_MATTE.paths("timer")
        ('pictures/timer-fill.mp4', 'pictures/timer-matte.mp4')
        """
        return tuple(f"pictures/{layer}{ending}" for ending in _ENDINGS[self])


_ENDINGS = {
    Carrier.PRORES: (".mov",),
    Carrier.QTRLE: ("-qtrle.mov",),
    Carrier.WEBM: (".webm",),
    Carrier.PNG: ("/",),
    Carrier.KEY: ("-key.mp4",),
    Carrier.FILL_AND_MATTE: ("-fill.mp4", "-matte.mp4"),
}
CarrierOf = Annotated[
    Carrier, BeforeValidator(one_of(Carrier)), WithJsonSchema({"enum": [carrier.value for carrier in Carrier]})
]


class PictureSettings(Part):
    """In what the layers are carried, and whether they are also made as one movie, `pictures/all`."""

    carrier: Annotated[tuple[CarrierOf, ...], Field(min_length=1), ONE_OR_MORE] = (Carrier.PRORES,)
    all_in_one: Flag = False


# What cameras and keyers are used to first; the further ones for a look that is green and blue itself.
_KEYS = tuple(map(Color.parse, ("#00FF00", "#0000FF", "#FF00FF", "#00FFFF", "#FF0000", "#FFFF00")))


def key_color(look: Look) -> Color:
    """The flat colour of the `key` carrier: of six pure ones the farthest from every colour of the look.

    Far is meant as a keyer means it, in Cb and Cr (ITU-R BT.709), whatever the brightness.

    >>> str(key_color(Look()))
    '#FF00FF'
    """
    inks = [value for value in vars(look).values() if isinstance(value, Color)]
    return max(_KEYS, key=lambda key: min(_apart(key, ink) for ink in inks))


def _apart(one: Color, other: Color) -> float:
    """How far two colours are from each other in the plane of Cb and Cr, squared."""
    (blue, red), (other_blue, other_red) = _differences(one), _differences(other)
    return (blue - other_blue) ** 2 + (red - other_red) ** 2


def _differences(color: Color) -> tuple[float, float]:
    red, green, blue = color.rgb
    luma = 0.2126 * red + 0.7152 * green + 0.0722 * blue
    return (blue - luma) / 1.8556, (red - luma) / 1.5748
