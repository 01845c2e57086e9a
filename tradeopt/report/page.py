"""A review as one HTML file that needs nothing beside it, for people without the service."""

from base64 import b64encode
from collections.abc import Mapping, Sequence
from html import escape

from tradeopt.report.front import front_section, nearest_section
from tradeopt.report.plain_text import clean, readable
from tradeopt.report.progress import remarks, summary_words
from tradeopt.report.review import (
    Candidate,
    Review,
    alternatives_section,
    change_words,
    reasons,
    rejection_section,
    requirement_rows,
)
from tradeopt.report.section import Section
from tradeopt.report.terminal import columns

_STYLE = """
:root { color-scheme: light dark;
  --ink: #16242e; --soft: #4a5a66; --paper: #fff; --tint: #e8eff4; }
@media (prefers-color-scheme: dark) {
  :root { --ink: #e6edf2; --soft: #a9b7c2; --paper: #12191f; --tint: #22303a; }
  figure { background: #fff; }
}
body { font: 16px/1.5 sans-serif; color: var(--ink); background: var(--paper);
  margin: 0 auto; max-width: 72rem; padding: 1rem; }
h1, h2, h3 { line-height: 1.2; } h2 { border-top: 2px solid var(--tint); padding-top: 1rem; }
.wide { overflow-x: auto; } p.soft, caption { color: var(--soft); text-align: left; }
table { border-collapse: collapse; font-variant-numeric: tabular-nums; }
th { background: var(--tint); text-align: left; }
th, td { padding: .2rem .6rem; vertical-align: top; }
th, td:not(:last-child) { white-space: nowrap; }
.number { text-align: right; } figure { margin: 1rem 0; } img { max-width: 100%; height: auto; }
"""

_POLICY = "default-src 'none'; style-src 'unsafe-inline'; img-src data:"


def report_of(review: Review, pictures: Mapping[str, bytes]) -> str:
    """
    Write a review as HTML.

    Parameters
    ----------
    review : Review
        The review.
    pictures : mapping of str to bytes
        SVG by caption; none where they cannot be drawn.

    Returns
    -------
    str
        A whole page without script; it loads nothing.
    """
    chosen, insights = review.chosen, review.insights
    title = f"{review.study.name}: design review"
    shown = (
        front_section(review.front, len(review.front.designs))
        if review.standing.front_size
        else nearest_section(review.front)
    )
    parts = [
        f"<h1>{_text(title)}</h1>",
        f"<p>{_text(chosen.name.capitalize())}: {_text(change_words(review, chosen))}.</p>",
        _list(reasons(review)),
        _part("Requirements", requirement_rows(review)),
        _part(
            "Search",
            rejection_section(review),
            summary_words(review.standing),
            *remarks(review.standing),
        ),
        *(_picture(caption, svg) for caption, svg in pictures.items()),
        _part("Front", shown),
        _part("Alternatives", alternatives_section(review)),
        _part("Tightest limits", insights.tight, insights.exchange),
        _part("Sensitivity", insights.tornado),
        *(_table(one, 3) for one in (insights.robust, insights.variance)),
        _part("What would change the recommendation", insights.flips),
        _part("Worth of mechanisms", insights.worth),
        _table(insights.found, 3),
        *(_sheet(one) for one in review.candidates),
        _part("Provenance", _provenance(review)),
    ]
    return (
        f'<!doctype html>\n<html lang="en"><head><meta charset="utf-8">'
        f'<meta http-equiv="Content-Security-Policy" content="{_POLICY}">'
        f'<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{_text(title)}</title><style>{_STYLE}</style></head>\n<body><main>\n"
        + "\n".join(parts)
        + "\n</main></body></html>\n"
    )


def _text(words: str) -> str:
    return escape(clean(words))


def _list(points: Sequence[str]) -> str:
    return f"<ul>{''.join(f'<li>{_text(one)}</li>' for one in points)}</ul>"


def _part(title: str, section: Section, *words: str) -> str:
    told = "".join(f"<p>{_text(one)}</p>" for one in words if one)
    return f"<section><h2>{_text(title)}</h2>{told}{_table(section, 0)}</section>"


def _table(section: Section, level: int) -> str:
    """Write a table, with a heading of this level unless that is 0."""
    heading = f"<h{level}>{_text(section.title)}</h{level}>" if level else ""
    remark = f'<p class="soft">{_text(section.remark)}</p>' if section.remark else ""
    if not section.rows:
        return f"{heading}<p>None.</p>"
    found = columns(section)
    marks = [' class="number"' if one.numeric else "" for one in found]
    heads = "".join(
        f'<th scope="col"{mark}>{_text(" ".join(one.head.split()))}</th>'
        for one, mark in zip(found, marks, strict=True)
    )
    rows = "".join(_row(row, marks) for row in zip(*(one.cells for one in found), strict=True))
    table = f"<table><thead><tr>{heads}</tr></thead><tbody>{rows}</tbody></table>"
    return f'{heading}<div class="wide" tabindex="0">{table}</div>{remark}'


def _row(cells: Sequence[str], marks: Sequence[str]) -> str:
    told = (
        f"<td{mark}>{_text(readable(one))}</td>" for mark, one in zip(marks, cells, strict=True)
    )
    return f"<tr>{''.join(told)}</tr>"


def _picture(caption: str, svg: bytes) -> str:
    data = b64encode(svg).decode("ascii")
    words = _text(caption)
    image = f'<img alt="{words}" src="data:image/svg+xml;base64,{data}">'
    return f"<figure>{image}<figcaption>{words}</figcaption></figure>"


def _sheet(candidate: Candidate) -> str:
    sheet = candidate.sheet
    name = f"{candidate.name.capitalize()}, {candidate.role}"
    tables = "".join(_table(section, 3) for section in sheet.sections)
    notes = f"<h3>Notes</h3>{_list(sheet.notes)}"
    return (
        f"<section><h2>{_text(name)}</h2><p>{_text(sheet.verdict)}</p>"
        f"<details><summary>Design sheet</summary>{tables}{notes}</details></section>"
    )


def _provenance(review: Review) -> Section:
    rows = []
    for name, value in review.provenance.items():
        told = (
            ", ".join(f"{k} {v}" for k, v in value.items()) if isinstance(value, dict) else value
        )
        rows.append((name, str(told)))
    return Section("provenance", "Provenance", ("what", "value"), tuple(rows))
