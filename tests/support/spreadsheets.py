"""Spreadsheets written part by part, as their formats are published.

OpenDocument 1.2 (ISO/IEC 26300) and Office Open XML (ECMA-376).
"""

from __future__ import annotations

import io
import zipfile


def packed(**members: str) -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as made:
        for name, inside in members.items():
            made.writestr(name.replace("__", "/"), inside)
    return stream.getvalue()


def ods(rows: list[list]) -> bytes:
    def cell(value):
        kind = "float" if isinstance(value, float) else "string"
        number = f' office:value="{value}"' if isinstance(value, float) else ""
        return f'<table:table-cell office:value-type="{kind}"{number}><text:p>{value}</text:p></table:table-cell>'

    inside = "".join(f"<table:table-row>{''.join(map(cell, row))}</table:table-row>" for row in rows)
    names = "".join(
        f' xmlns:{each}="urn:oasis:names:tc:opendocument:xmlns:{each}:1.0"' for each in ("office", "table", "text")
    )
    whole = (
        f'<office:document-content{names} office:version="1.2"><office:body><office:spreadsheet>'
        f'<table:table table:name="Pass">{inside}</table:table></office:spreadsheet></office:body>'
        "</office:document-content>"
    )
    manifest = (
        '<manifest:manifest xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0"><manifest:file-entry '
        'manifest:full-path="/" manifest:media-type="application/vnd.oasis.opendocument.spreadsheet"/>'
        "</manifest:manifest>"
    )
    kind = "application/vnd.oasis.opendocument.spreadsheet"
    return packed(**{"mimetype": kind, "content.xml": whole, "META-INF__manifest.xml": manifest})


def xlsx(rows: list[list]) -> bytes:
    def cell(value):
        if isinstance(value, float):
            return f"<c><v>{value}</v></c>"
        return f'<c t="inlineStr"><is><t>{value}</t></is></c>'

    inside = "".join(f"<row>{''.join(map(cell, row))}</row>" for row in rows)
    main = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
    of = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
    links = "http://schemas.openxmlformats.org/package/2006/relationships"
    return packed(
        **{
            "[Content_Types].xml": '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"/>',
            "_rels__.rels": f'<Relationships xmlns="{links}"><Relationship Id="r1" Type="{of}/officeDocument" '
            'Target="xl/workbook.xml"/></Relationships>',
            "xl__workbook.xml": f'<workbook xmlns="{main}" xmlns:r="{of}"><sheets><sheet name="Pass" sheetId="1" '
            'r:id="r1"/></sheets></workbook>',
            "xl___rels__workbook.xml.rels": f'<Relationships xmlns="{links}"><Relationship Id="r1" '
            f'Type="{of}/worksheet" Target="worksheets/sheet1.xml"/></Relationships>',
            "xl__worksheets__sheet1.xml": f'<worksheet xmlns="{main}"><sheetData>{inside}</sheetData></worksheet>',
        }
    )
