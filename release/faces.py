"""The faces of the site: themes/plain/type/*.ttf cut down to the letters that pages need, as WOFF2.

    pip install fonttools brotli
    python3 release/faces.py

Writes themes/plain/pages/faces/. Run it again when a font in themes/plain/type/ changes or when pages need more
letters: `tests/it/faces.rs` names the letters that are missing. The cut faces are modified versions of their
fonts and bear names of their own, as the fonts' license asks.
"""

import pathlib

from fontTools import subset
from fontTools.ttLib import TTFont

THEME = pathlib.Path(__file__).parent.parent / "themes/plain"

# Latin with every accent of Europe, the marks of print, fractions, currency, arrows, signs of arithmetic, boxes and
# ticks.
LETTERS = [
    (0x20, 0x7E), (0xA0, 0x17F), (0x218, 0x21B), (0x2B0, 0x2DD), (0x300, 0x30C), (0x1E9E, 0x1E9E),
    (0x2000, 0x206F), (0x2070, 0x208E), (0x20A0, 0x20BF), (0x2100, 0x214F), (0x2150, 0x215E), (0x2190, 0x21FF),
    (0x2212, 0x2212), (0x2215, 0x221A), (0x221E, 0x221E), (0x2248, 0x2248), (0x2260, 0x2265),
    (0x25A0, 0x25FF), (0x2610, 0x2612), (0x2713, 0x2718),
]

FACES = {
    "Vollkorn": ("Plain Page Serif", ["Regular", "Italic", "SemiBold", "Bold"]),
    "Andika": ("Plain Page Sans", ["Regular", "Italic", "Bold"]),
}

# Name ids: 1 family, 3 unique, 4 full, 6 PostScript, 16 typographic family, 18 and 20 and 21 further names.
FULL_NAMES = {3, 4, 18, 20}


def rename(font, family, cut):
    """Every name by which a program finds the face is the new one; its owners and its license stay."""
    for record in list(font["name"].names):
        if record.nameID in (1, 16, 21):
            record.string = family
        elif record.nameID in FULL_NAMES:
            record.string = f"{family} {cut}"
        elif record.nameID == 6:
            record.string = f"{family.replace(' ', '')}-{cut}"
        elif record.nameID not in (0, 2, 5, 13, 14, 17):
            font["name"].removeNames(nameID=record.nameID)


def cut(source, family, style, target):
    options = subset.Options()
    options.flavor = "woff2"
    options.layout_features = ["kern", "liga", "lnum", "tnum", "onum", "pnum", "mark", "mkmk", "ccmp", "locl", "frac"]
    options.name_IDs = ["*"]
    options.hinting = False
    options.recalc_timestamp = False
    options.drop_tables += ["DSIG", "Feat", "Glat", "Gloc", "Silf", "Sill"]
    font = TTFont(source, recalcTimestamp=False)
    subsetter = subset.Subsetter(options)
    subsetter.populate(unicodes=[letter for first, last in LETTERS for letter in range(first, last + 1)])
    subsetter.subset(font)
    rename(font, family, style)
    font.flavor = "woff2"
    font.save(target)


for name, (family, styles) in FACES.items():
    for style in styles:
        target = THEME / "pages/faces" / f"{family.lower().replace(' ', '-')}-{style.lower()}.woff2"
        cut(THEME / "type" / f"{name}-{style}.ttf", family, style, target)
        print(f"{target.name}: {target.stat().st_size} bytes")
