"""The tool's own type inside the page, cut down to the characters that the class has."""

from __future__ import annotations

import base64
import io

from overlay.plan.look import BOLD, REGULAR, font_folder

_ALWAYS = "0123456789:.,×−-+ …“”’()"
"""What the page itself writes beside the class's words."""
_WEIGHTS = ((REGULAR, 400), (BOLD, 700))


def face_rules(texts: str) -> str:
    """`@font-face` rules with the fonts as data. What they lack, the browser sets in its own.

    About 200 bytes a character and weight; the same texts give the same bytes.
    """
    from fontTools.subset import Options, Subsetter
    from fontTools.ttLib import TTFont

    rules = []
    for name, weight in _WEIGHTS:
        with TTFont(font_folder() / name, recalcTimestamp=False) as font:
            # Hinting and shaping for other scripts weigh more than the letters themselves.
            options = Options(hinting=False, layout_features=["kern", "mark", "mkmk", "tnum"], notdef_outline=True)
            options.drop_tables += ["DSIG", "GDEF"]
            subsetter = Subsetter(options)
            subsetter.populate(text=texts + _ALWAYS)
            subsetter.subset(font)
            file = io.BytesIO()
            font.save(file)
        data = base64.b64encode(file.getvalue()).decode("ascii")
        rules.append(f'@font-face{{font-family:"Class";font-weight:{weight};src:url(data:font/ttf;base64,{data})}}\n')
    return "".join(rules)
