"""The reference as pages that open in any browser without a network: one for each chapter."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from html import escape
from importlib.resources import files

from markdown_it import MarkdownIt
from markdown_it.token import Token

from tiecoat.reference.entry import ReferenceEntry
from tiecoat.reference.reference import Reference

CONTENTS = "index.html"
CAUTION = (
    "tiecoat supports judgement. It replaces neither the standards, nor the safety data sheets, nor"
    " the person who answers for a release."
)


def pages_of(reference: Reference) -> dict[str, str]:
    """Return the pages: file name -> HTML that needs no other file but for its links."""
    chapters = reference.chapters
    homes = {chapter: f"{_slug(chapter)}.html" for chapter in chapters}
    links = _links(reference.entries, homes)
    pages = {CONTENTS: _page("Reference", _contents(chapters, homes), homes, CONTENTS)}
    for chapter, entries in chapters.items():
        body = [f"<h1>{escape(chapter)}</h1>", _list(entries, "")]
        for one in entries:
            text = _html(one, {name: at for name, at in links.items() if name != one.name})
            body.append(
                f'<section id="{_slug(one.name)}"><h2><code>{escape(one.name)}</code></h2>'
                f"{text}</section>"
            )
        pages[homes[chapter]] = _page(chapter, "\n".join(body), homes, homes[chapter])
    return pages


def _contents(chapters: Mapping[str, Sequence[ReferenceEntry]], homes: Mapping[str, str]) -> str:
    parts = ["<h1>Reference of tiecoat</h1>"]
    for chapter, entries in chapters.items():
        title = f'<h2><a href="{homes[chapter]}">{escape(chapter)}</a></h2>'
        parts += [title, _list(entries, homes[chapter])]
    return "\n".join(parts)


def _list(entries: Sequence[ReferenceEntry], home: str) -> str:
    items = (
        f'<dt><a href="{home}#{_slug(one.name)}"><code>{escape(one.name)}</code></a></dt>'
        f"<dd>{_line(one.summary)}</dd>"
        for one in entries
    )
    return f'<dl class="contents">{"".join(items)}</dl>'


def _links(entries: Sequence[ReferenceEntry], homes: Mapping[str, str]) -> dict[str, str]:
    """Return where a name that stands as code leads to; the first entry of a name has it.

    Names of one plain word that is an ordinary one, as settings and remarks have them, lead
    nowhere: too many parameters are called so.
    """
    links: dict[str, str] = {}
    for one in entries:
        at = f"{homes[one.chapter]}#{_slug(one.name)}"
        ordinary = one.chapter.startswith(("Settings", "Remarks"))
        for name in (one.name, *one.holds):
            if re.search(r"[.-]", name) or (name == one.name and not ordinary):
                links.setdefault(name, at)
    return links


def _html(entry: ReferenceEntry, links: Mapping[str, str]) -> str:
    markdown = _markdown()
    tokens = markdown.parse(entry.text)
    for token in tokens:
        if token.type == "inline" and token.children:
            token.children = list(_linked(token.children, links))
    html = str(markdown.renderer.render(tokens, markdown.options, {}))
    return html.replace("<table>", '<div class="wide"><table>').replace(
        "</table>", "</table></div>"
    )


def _linked(tokens: Sequence[Token], links: Mapping[str, str]) -> Iterator[Token]:
    """Return the tokens with a link around each code that is a name, but for what is bold."""
    bold = 0
    for token in tokens:
        bold += token.nesting if token.type.startswith("strong") else 0
        name = token.content.partition("(")[0]
        if token.type == "code_inline" and not bold and name in links:
            yield Token("link_open", "a", 1, attrs={"href": links[name]})
            yield token
            yield Token("link_close", "a", -1)
        else:
            yield token


def _line(text: str) -> str:
    return str(_markdown().renderInline(text))


@cache
def _markdown() -> MarkdownIt:
    return MarkdownIt("commonmark", {"html": False}).enable("table")


def _page(title: str, body: str, homes: Mapping[str, str], own: str) -> str:
    style = (files("tiecoat.reference") / "pages.css").read_text(encoding="utf-8")
    ways = "".join(
        f'<a href="{home}"{" class=here" if home == own else ""}>{escape(chapter)}</a>'
        for chapter, home in {"Contents": CONTENTS, **homes}.items()
    )
    return (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{escape(title)} - tiecoat</title>\n<style>\n{style}</style></head>\n"
        f"<body><nav>{ways}</nav>\n{body}\n<footer>{CAUTION}</footer></body></html>\n"
    )


def _slug(name: str) -> str:
    return re.sub(r"[^a-z0-9]+", "-", name.casefold()).strip("-")
