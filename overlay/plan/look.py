"""How the class looks: colours and fonts, and where the fonts are."""

from pathlib import Path

from overlay.plan.fields import Color, Part
from overlay.units import color


class Look(Part):
    """Colours of the pictures. The plate lies under every word, whatever the footage.

    The defaults are picked from the Okabe-Ito colours, which stay apart for people who do not see
    all colours (STANDARDS: Okabe and Ito 2008), and each kind differs by shape and word first.
    """

    plate: Color = color.Color(0x12, 0x18, 0x21)
    ink: Color = color.Color(0xFF, 0xFF, 0xFF)
    work: Color = color.Color(0xE6, 0x9F, 0x00)
    rest: Color = color.Color(0x56, 0xB4, 0xE9)
    preview: Color = color.Color(0xF0, 0xE4, 0x42)

    @property
    def plate_opacity(self) -> float:
        return 0.88


REGULAR = "NotoSans-Regular.ttf"
BOLD = "NotoSans-Bold.ttf"


def font_folder() -> Path:
    """The folder of the fonts that ship with the tool: inside the wheel, or beside the package."""
    package = Path(__file__).resolve().parents[1]
    inside = package / "fonts"
    return inside if inside.is_dir() else package.parent / "fonts"
