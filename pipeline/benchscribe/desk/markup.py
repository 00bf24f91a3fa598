"""Markdown of this program's own writing, as HTML for the previews."""

from __future__ import annotations


def as_html(text: str) -> str:
    """Give Markdown of this program's own writing as HTML, with HTML of any other origin turned off."""
    from markdown_it import MarkdownIt

    # The page has its own headings above; those of the text come below them.
    html: str = MarkdownIt("js-default", {"html": False, "linkify": False}).render(text)
    for level in (4, 3, 2, 1):
        html = html.replace(f"<h{level}>", f"<h{level + 2}>").replace(f"</h{level}>", f"</h{level + 2}>")
    box = '<div class="scroll" tabindex="0" role="region" aria-label="Table">'
    return html.replace("<table>", f"{box}<table>").replace("</table>", "</table></div>")
