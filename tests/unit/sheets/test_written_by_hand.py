"""A workbook written part by part, as spreadsheet programs write it."""

from __future__ import annotations

import zipfile
from pathlib import Path

from lab_sheets import EMULSIFIER, FLUID, OIL, SALT, ZINC, shares, understood

TYPES = b"""<?xml version="1.0" encoding="UTF-8" standalone="yes"?>
<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">
<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>
<Override PartName="/xl/workbook.xml" ContentType="application/vnd.openxmlformats-officedocument\
.spreadsheetml.sheet.main+xml"/>
<Override PartName="/xl/worksheets/sheet4.xml" ContentType="application/vnd.openxmlformats-\
officedocument.spreadsheetml.worksheet+xml"/>
<Override PartName="/xl/sharedStrings.xml" ContentType="application/vnd.openxmlformats-\
officedocument.spreadsheetml.sharedStrings+xml"/>
<Override PartName="/xl/styles.xml" ContentType="application/vnd.openxmlformats-officedocument\
.spreadsheetml.styles+xml"/></Types>"""
RELS = b"""<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">\
<Relationship Id="rId1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/\
officeDocument" Target="xl/workbook.xml"/></Relationships>"""
BOOK = b"""<workbook xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" \
xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"><sheets>\
<sheet name="K-07" sheetId="7" r:id="rId9"/></sheets></workbook>"""
BOOK_RELS = b"""<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">
<Relationship Id="rId9" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/\
worksheet" Target="worksheets/sheet4.xml"/>
<Relationship Id="rId2" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/\
sharedStrings" Target="sharedStrings.xml"/>
<Relationship Id="rId3" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/\
styles" Target="styles.xml"/></Relationships>"""
STYLES = b"""<styleSheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">\
<fonts count="1"><font/></fonts><fills count="1"><fill><patternFill patternType="none"/></fill>\
</fills><borders count="1"><border/></borders>\
<cellStyleXfs count="1"><xf/></cellStyleXfs><cellXfs count="2"><xf numFmtId="0"/>\
<xf numFmtId="10" applyNumberFormat="1"/></cellXfs></styleSheet>"""


def test_39_a_workbook_as_spreadsheet_programs_write_it(tmp_path: Path) -> None:
    """Shared texts with rich runs, built-in format 10, a shared formula with saved values."""
    texts = ["Phase", "Ingredient", "% w/w", "A", ZINC, OIL, EMULSIFIER, "B", "Aqua", SALT]
    items = "".join(f"<si><t>{text}</t></si>" for text in texts)
    items += "<si><r><t>Gly</t></r><r><rPr><b/></rPr><t>cerin</t></r></si>"
    values = [(3, 4, 0.18), (None, 5, 0.125), (None, 6, 0.03), (7, 8, 0.618), (None, 9, 0.007),
              (None, 10, 0.04)]  # fmt: skip
    rows = ['<row r="1" spans="1:3"><c r="A1" t="s"><v>0</v></c><c r="B1" t="s"><v>1</v></c>'
            '<c r="C1" t="s"><v>2</v></c></row>']  # fmt: skip
    for number, (phase, name, share) in enumerate(values, start=2):
        first = f'<c r="A{number}" t="s"><v>{phase}</v></c>' if phase else ""
        formula = ""
        if number == 2:
            formula = '<f t="shared" ref="C2:C4" si="0">E2/100</f>'
        elif number < 5:
            formula = '<f t="shared" si="0"/>'
        elif number == 5:
            formula = "<f>1-SUM(C2:C4,C6:C7)</f>"
        rows.append(
            f'<row r="{number}">{first}<c r="B{number}" t="s"><v>{name}</v></c>'
            f'<c r="C{number}" s="1">{formula}<v>{share!r}</v></c></row>'
        )
    sheet = (
        '<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">'
        f'<dimension ref="A1:C7"/><sheetData>{"".join(rows)}</sheetData></worksheet>'
    )
    strings = (
        f'<sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">{items}</sst>'
    )
    path = tmp_path / "by-hand.xlsx"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("[Content_Types].xml", TYPES)
        archive.writestr("_rels/.rels", RELS)
        archive.writestr("xl/workbook.xml", BOOK)
        archive.writestr("xl/_rels/workbook.xml.rels", BOOK_RELS)
        archive.writestr("xl/styles.xml", STYLES)
        archive.writestr("xl/sharedStrings.xml", strings)
        archive.writestr("xl/worksheets/sheet4.xml", sheet)
    plan = understood(path)
    assert shares(plan.formulas[0]) == FLUID
    assert plan.formulas[0].code == "K-07"
