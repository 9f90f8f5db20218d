"""Images that a plan brings: opened with care, upright, as RGBA of 8 bits in sRGB with straight alpha."""

from __future__ import annotations

import io
import warnings
from collections.abc import Callable, Iterable
from hashlib import blake2b
from pathlib import Path
from typing import TYPE_CHECKING

from PIL import Image, ImageCms, ImageOps

from overlay.plan.beside import file_beside
from overlay.units.raster import Box

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from overlay.pictures.canvas import Canvas

MOST_PIXELS = 50_000_000
"""What the largest cameras of telephones take in one picture, and 200 MB once it is open."""
LONGEST_SIDE_PX = 30_000
SPREAD_PX = 12
"""How far a colour runs on beyond where an image ends softly; at least 8 (DESIGN.md, Alpha and colour)."""
_FORMATS = ("PNG", "JPEG", "WEBP")


Images = Callable[[str], Image.Image]
"""From the name that a plan gives an image to its picture, RGBA."""


def no_images(name: str) -> Image.Image:
    """Where no plan is there that images could stand beside."""
    raise LookupError(name)


def image_sums(names: Iterable[str], images: Images) -> tuple[tuple[str, str], ...]:
    """Each of some images by its name and a sum over its pixels: what is shown, whatever the file is called."""
    pictures = ((name, images(name)) for name in sorted(names))
    return tuple((name, blake2b(repr(p.size).encode() + p.tobytes()).hexdigest()) for name, p in pictures)


def draw_image(canvas: Canvas, box: Box, name: str, images: Images, radius_px: int) -> None:
    """An image in the middle of a box, as large as fits."""
    picture = scaled_into(images(name), box.width_px, box.height_px)
    left = box.left + (box.width_px - picture.width) // 2
    canvas.picture_at(left, box.top + (box.height_px - picture.height) // 2, picture, radius_px)


def image_beside(plan: Path, name: str, root: Path | None = None) -> Image.Image:
    """The image that a plan names, as `open_image` gives it.

    Raises ValueError, in words for the plan's writer, where the file is not there or cannot be used.
    """
    return open_image(file_beside(plan, name, root), name)


def open_image(path: Path, name: str | None = None) -> Image.Image:
    """A PNG, JPEG or WebP file as an upright picture: RGBA, 8 bits a channel, sRGB, straight alpha.

    What the file is goes by its content, not by its ending. The size is looked at before anything is
    unpacked, and everything is unpacked here, so that a file that is cut off is found. Raises ValueError,
    which calls the file by `name`, where it is something else, broken, moving or too large.
    """
    name = name or path.name
    try:
        raw = path.read_bytes()
    except OSError as error:
        raise ValueError(f"{name} cannot be read: {error.strerror}") from None
    if not raw.startswith((b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff")) and (raw[:4], raw[8:12]) != (b"RIFF", b"WEBP"):
        raise ValueError(f"{name} is not a PNG, JPEG or WebP image: save it as one of these")
    with warnings.catch_warnings():
        # What Pillow has doubts about but reads is not for the plan's writer to see.
        warnings.simplefilter("ignore")
        try:
            picture = Image.open(io.BytesIO(raw), formats=_FORMATS)
        except Image.DecompressionBombError:
            raise ValueError(_too_large(name)) from None
        except Exception:  # what a broken file can set off has no end
            raise ValueError(f"{name} is broken: save it again") from None
        with picture:
            if picture.width * picture.height > MOST_PIXELS or max(picture.size) > LONGEST_SIDE_PX:
                raise ValueError(_too_large(name))
            # A JPEG of several pictures (MPO: depth, two eyes) does not move: its first one is meant.
            if picture.format in ("PNG", "WEBP") and getattr(picture, "n_frames", 1) > 1:
                raise ValueError(f"{name} moves: save one of its pictures alone")
            try:
                picture.load()
                return _in_srgb(_upright(picture))
            except Exception:  # nor has what its pixels can
                raise ValueError(f"{name} is broken: save it again") from None


def _too_large(name: str) -> str:
    return f"{name} has more than {MOST_PIXELS // 1_000_000} million pixels: save it smaller"


def _upright(picture: Image.Image) -> Image.Image:
    """Turned as the file's own EXIF says."""
    try:
        return ImageOps.exif_transpose(picture)
    except Exception:  # notes that cannot be read do not make an image unusable
        return picture


def _in_srgb(picture: Image.Image) -> Image.Image:
    """The picture's pixels as RGBA, its colour profile, if it has a fitting one, brought to sRGB."""
    profile = picture.info.get("icc_profile")
    is_grey = picture.mode[0] in "1LI"
    if picture.mode.startswith("I"):
        picture = _eight_bits(picture)
    if picture.has_transparency_data:
        picture = picture.convert("RGBA")
    if profile:
        try:
            return _by_profile(picture, profile, is_grey=is_grey)
        except (ImageCms.PyCMSError, OSError, ValueError):  # a broken profile, or one for other channels
            pass
    shown = picture.convert("RGBA")
    shown.info = {}
    return shown


def _by_profile(picture: Image.Image, profile: bytes, *, is_grey: bool) -> Image.Image:
    source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
    space = source.profile.xcolor_space.strip()
    modes = {"RGB": "RGB", "GRAY": "L"} if is_grey else {"RGB": "RGB"}
    colored = picture.convert(modes[space]) if space in modes else picture
    shown = ImageCms.profileToProfile(
        colored,
        source,
        ImageCms.createProfile("sRGB"),
        ImageCms.Intent.RELATIVE_COLORIMETRIC,
        outputMode="RGB",
        flags=ImageCms.Flags.BLACKPOINTCOMPENSATION,
    )
    assert shown is not None, "only a picture changed in place gives none"
    alpha = picture.getchannel("A") if "A" in picture.getbands() else Image.new("L", picture.size, 255)
    return Image.merge("RGBA", (*shown.split(), alpha))


def _eight_bits(picture: Image.Image) -> Image.Image:
    """A grey picture of 16 bits as one of 8, to the nearest; one of its greys may stand for transparent."""
    import numpy as np

    values = np.asarray(picture).astype(np.int64)
    grey = Image.fromarray(((values * 255 + 32767) // 65535).clip(0, 255).astype(np.uint8))
    clear = picture.info.get("transparency")
    if clear is not None:
        grey.putalpha(Image.fromarray(np.where(values == clear, 0, 255).astype(np.uint8)))
    return grey


def scaled_into(picture: Image.Image, width_px: int, height_px: int) -> Image.Image:
    """An RGBA picture as large as it fits these pixels, in its own proportions.

    Each pixel's colour counts by its alpha, so that nothing bleeds in from what cannot be seen, and
    the colours run on under soft edges for `SPREAD_PX`. Further out everything is black.
    """
    import numpy as np

    scale = min(width_px / picture.width, height_px / picture.height)
    size = (max(1, round(picture.width * scale)), max(1, round(picture.height * scale)))
    alpha = (np.asarray(picture.getchannel("A")) / np.float32(255)).astype(np.float32)
    seen = _resized(alpha, size).clip(0, 1)
    channels = []
    for band in "RGB":
        weighted = _resized((np.asarray(picture.getchannel(band)) * alpha).astype(np.float32), size)
        channels.append(weighted / np.maximum(seen, 1e-6))
    colors = np.stack(channels, axis=-1).clip(0, 255)
    opacity = np.rint(seen * 255).astype(np.uint8)
    colors = _spread(colors, opacity > 0)
    pixels = np.dstack([np.rint(colors).astype(np.uint8), opacity])
    return Image.fromarray(pixels)


def _resized(channel: NDArray[np.float32], size: tuple[int, int]) -> NDArray[np.float32]:
    import numpy as np

    # Both without negative lobes: no ring of faint ink round a soft edge.
    shrinks = size[0] < channel.shape[1]
    resampling = Image.Resampling.HAMMING if shrinks else Image.Resampling.BILINEAR
    resized = Image.fromarray(channel).resize(size, resampling)
    return np.asarray(resized, dtype=np.float32)


def _spread(colors: NDArray[np.float32], known: NDArray[np.bool_]) -> NDArray[np.float32]:
    """Colours run on into the pixels that have none, one row of neighbours at a time; the rest is black."""
    import numpy as np

    colors = np.where(known[..., None], colors, 0).astype(np.float32)
    for _ in range(SPREAD_PX):
        if known.all():
            break
        padded = np.pad(colors * known[..., None], ((1, 1), (1, 1), (0, 0)))
        count = np.pad(known.astype(np.float32), 1)
        views = [(slice(y, y + known.shape[0]), slice(x, x + known.shape[1])) for y in range(3) for x in range(3)]
        total = sum(padded[view] for view in views)
        neighbours = sum(count[view] for view in views)
        reached = ~known & (neighbours > 0)
        colors[reached] = (total / np.maximum(neighbours, 1)[..., None])[reached]
        known = known | reached
    return colors
