"""How large a 3MF grows, by the format's own rule: objects hold triangles or components, and the build lists items."""

from __future__ import annotations

from preview.filling.solid_bulk import TOO_MANY, triangles_of


def test_triangles_are_counted_as_often_as_they_are_used():
    mesh = '<object id="1"><mesh><triangles>' + '<triangle v1="0" v2="1" v3="2"/>' * 4 + "</triangles></mesh></object>"
    ten = "".join(
        f'<object id="{n}"><components>' + f'<component objectid="{n - 1}"/>' * 10 + "</components></object>"
        for n in range(2, 13)
    )
    assert triangles_of(f'{mesh}<build><item objectid="1"/></build>'.encode()) == 4
    assert triangles_of(f'{mesh}{ten}<build><item objectid="3"/><item objectid="1"/></build>'.encode()) == 404
    assert triangles_of(f'{mesh}{ten}<build><item objectid="12"/></build>'.encode()) == 4 * 10**11
    itself = '<object id="1"><components><component objectid="1"/></components></object>'
    assert triangles_of(f'{itself}<build><item objectid="1"/></build>'.encode()) >= TOO_MANY
