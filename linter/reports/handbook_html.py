"""The handbook as one HTML file: no script, nothing fetched, prints well in black and white."""

from __future__ import annotations

from linter.language.plainly import Plain
from linter.packs.handbook import About, Entry, Handbook, LimitShown, Shown
from linter.reports import handbook as parts
from linter.reports import one_ending
from linter.reports.html import shown

_STYLE = """
:root { color-scheme: light }
* { box-sizing: border-box }
body { font: 11pt/1.45 Georgia, "Times New Roman", serif; max-width: 50rem; margin: 2rem auto; padding: 0 1.2rem; color: #111; background: #fff }
h1 { font-size: 2rem; line-height: 1.15; margin: 2.5rem 0 .3rem } .lead { font-size: 1.15rem; margin: .2rem 0 .8rem }
h2 { font-size: 1.35rem; margin: 2.6rem 0 .6rem; padding-bottom: .2rem; border-bottom: 2px solid #111 }
h3 { font: bold 1.02rem/1.3 Consolas, "DejaVu Sans Mono", monospace; margin: 0; flex: 1; overflow-wrap: anywhere }
h4 { font-size: .8rem; text-transform: uppercase; letter-spacing: .07em; color: #444; margin: .9rem 0 .25rem }
p { margin: .3rem 0 } a { color: inherit } .small { font-size: .86rem; color: #333 }
section.practice { margin: 1.6rem 0 2.2rem; padding-top: .5rem; border-top: 1px solid #888 }
section.practice > header { display: flex; gap: .7rem; align-items: baseline; break-after: avoid }
.says { font-size: 1.12rem; margin: .25rem 0 .6rem; break-after: avoid }
.weight { font: bold .72rem/1.6 Arial, Helvetica, sans-serif; text-transform: uppercase; letter-spacing: .06em; padding: 0 .5em;
 border: 1.5px solid #111; white-space: nowrap }
.weight.danger { background: #111; color: #fff } .weight.warning { background: #555; color: #fff; border-color: #555 }
.weight.caution { background: #e4e4e4 } .weight.notice { border-style: dotted }
dl.card { display: grid; grid-template-columns: 7.2rem 1fr; gap: .25rem .8rem; margin: 0 } dl.card dt { font-style: italic; color: #333 }
 dl.card dd { margin: 0 }
ul.plain { margin: 0; padding-left: 1.15rem } ul.plain ul { margin: .05rem 0 .15rem; padding-left: 1.15rem } dd > ul.plain { padding-left: 1.15rem }
table { border-collapse: collapse; width: 100%; font-size: .9rem } th, td { text-align: left; vertical-align: top; padding: .18rem .7rem .18rem 0;
 border-bottom: 1px solid #ddd }
th { font-weight: normal; font-style: italic; color: #333; border-bottom-color: #888 } tr { break-inside: avoid } td.name { white-space: nowrap }
.examples { display: grid; grid-template-columns: repeat(auto-fill, minmax(21rem, 1fr)); gap: .8rem; align-items: start }
figure { margin: 0; border: 1px solid #bbb; padding: .45rem .6rem; break-inside: avoid; font-size: .86rem }
figcaption { margin-bottom: .25rem } figure table { font-size: .84rem } figure td { border-bottom: 1px dotted #ccc } figure .like { color: #444 }
figure td.name { padding-right: .6rem; width: 6.5rem; white-space: normal } .comes { margin-top: .3rem; border-top: 1.5px solid #111;
 padding-top: .25rem } .comes b { font-weight: bold }
pre { font: .78rem/1.4 Consolas, "DejaVu Sans Mono", monospace; background: #f5f5f5; padding: .5rem .7rem; margin: .2rem 0; white-space: pre-wrap;
 overflow-wrap: anywhere }
nav ol { list-style: none; padding: 0; margin: .2rem 0 } nav li { display: flex; gap: .6rem; padding: .08rem 0 } nav li a { flex: 1 }
 nav .weight { min-width: 5.4rem; text-align: center }
dl.words { columns: 2; column-gap: 2rem; font-size: .88rem; margin: 0 } dl.words div { break-inside: avoid; margin-bottom: .35rem }
 dl.words dt { font-weight: bold } dl.words dd { margin: 0 }
.changed { border-left: 5px solid #111; padding: .2rem .8rem; margin: .8rem 0 } .legend { display: grid; grid-template-columns: 1fr 1fr; gap: 0 2rem }
@media (max-width: 40rem) { .examples, .legend { grid-template-columns: 1fr } dl.words { columns: 1 } dl.card { grid-template-columns: 1fr } }
@media print { body { margin: 0; max-width: none; padding: 0; font-size: 10pt } @page { margin: 16mm } h2 { break-before: page }
 h2.here { break-before: auto }
 nav a, a { text-decoration: none } .examples { grid-template-columns: 1fr 1fr } .weight { print-color-adjust: exact;
 -webkit-print-color-adjust: exact } }
""".strip()


def html(book: Handbook) -> str:
    """The whole handbook."""
    name = shown(parts.title(book))
    lines = ["<!DOCTYPE html>", '<html lang="en">', "<head>", '<meta charset="utf-8">',
             '<meta http-equiv="Content-Security-Policy" content="default-src \'none\'; style-src \'unsafe-inline\'">',
             '<meta name="viewport" content="width=device-width, initial-scale=1">', f"<title>{name}: handbook</title>", f"<style>{_STYLE}</style>",
             "</head>", "<body>", f"<h1>{name}</h1>"]
    for about in book.packs:
        lines += [f'<p class="lead">{shown(about.says)}</p>' if about.says else "", f'<p class="small">{shown(parts.edition(about))}</p>']
    if book.changes:
        lines += ['<div class="changed">', "<h4>What is changed of the packs below</h4>", '<ul class="plain">',
                  *(f"<li>{shown(change)}</li>" for change in book.changes), "</ul>", "</div>"]
    lines += [f"<p>{shown(parts.CARE)}</p>", *_contents(book), *_legend()]
    for chapter in book.chapters:
        lines.append(f"<h2>{shown(parts.heading(chapter, book))}</h2>")
        for entry in chapter.entries:
            lines += _entry(entry, book)
    lines += [*_limits(book), *_sources(book), *_coverage(book), *_glossary(book), "</body>", "</html>"]
    return one_ending(line for line in lines if line)


def _weight(weight: str) -> str:
    return f'<span class="weight {shown(weight)}">{shown(weight)}</span>'


def _contents(book: Handbook) -> list[str]:
    lines = ["<nav>", '<h2 class="here">Contents</h2>']
    for chapter in book.chapters:
        lines += [f"<h4>{shown(parts.heading(chapter, book))}</h4>", "<ol>",
                  *(f'<li>{_weight(entry.weight)} <a href="#{shown(entry.name)}">{shown(entry.says)}</a></li>' for entry in chapter.entries), "</ol>"]
    ends = " · ".join(f'<a href="#the-{name.lower()}">{name}</a>' for name in ("Limits", "Sources", "Coverage", "Words"))
    return [*lines, f'<p class="small">{ends}</p>', "</nav>"]


def _legend() -> list[str]:
    weights = "".join(f"<tr><td>{_weight(name)}</td><td>{shown(meaning)}</td></tr>" for name, meaning in parts.WEIGHTS)
    outcomes = "".join(f"<tr><td><b>{shown(name)}</b></td><td>{shown(meaning)}</td></tr>" for name, meaning in parts.OUTCOMES)
    return ['<h2 class="here">How to read a card</h2>', f"<p>{shown(parts.STATES)}</p>", '<div class="legend">',
            f"<div><h4>Weight, if it is not met</h4><table>{weights}</table></div>", f"<div><h4>Outcome</h4><table>{outcomes}</table></div>", "</div>"]


def _entry(entry: Entry, book: Handbook) -> list[str]:
    limits = [limit for limit in book.limits if limit.name in entry.limits]
    rows = [("Looks at", f"<dd>{shown(entry.plain.looks)}</dd>")]
    if entry.plain.passing is not None:
        rows.append(("Passed over", f"<dd>{_clauses(entry.plain.passing)}</dd>"))
    rows += [("Met when", f"<dd>{_clauses(entry.plain.demand)}</dd>"), ("Why", f"<dd>{shown(entry.because)}</dd>"),
             ("Practice", f"<dd>{shown(entry.follows)}</dd>"), ("If not met", f"<dd>{shown(entry.remedy)}</dd>")]
    figures = "".join(f"<li>{shown(label)}: {shown(how)}</li>" for label, how in entry.plain.figures)
    if figures:
        rows.append(("Also told", f'<dd><ul class="plain">{figures}</ul></dd>'))
    readings = "".join(f"<li>{shown(name)}: {shown(how)}</li>" for name, how in entry.readings)
    if readings:
        rows.append(("Worked out", f'<dd><ul class="plain">{readings}</ul></dd>'))
    if entry.formerly:
        rows.append(("Formerly", f"<dd>{shown(', '.join(entry.formerly))}</dd>"))
    lines = [f'<section class="practice" id="{shown(entry.name)}">', f"<header><h3>{shown(entry.name)}</h3>{_weight(entry.weight)}</header>",
             f'<p class="says">{shown(entry.says)}</p>', '<dl class="card">', *(f"<dt>{label}</dt>{body}" for label, body in rows), "</dl>"]
    for step in entry.moved:
        lines.append(f'<p class="changed">{shown(step.pack)} made it {shown(step.text)}: {shown(step.because)}'
                     + (f" Agreed by {shown(step.agreed_by)} until {shown(step.until)}." if step.agreed_by else "") + "</p>")
    if limits:
        lines += ["<h4>Limits</h4>", "<table><tr><th>Limit</th><th>Value</th><th>May be moved</th><th>Set by</th></tr>",
                  *(f'<tr><td class="name">{shown(one.name)}</td><td class="name">{shown(one.value)}</td><td>{_band(one)}</td>'
                    f"<td>{'<br>'.join(shown(line) for line in parts.set_by(one))}</td></tr>" for one in limits), "</table>"]
    if entry.asked:
        lines += ["<h4>What has to be known</h4>", "<table><tr><th>Write</th><th>Question</th><th>How to find out</th></tr>",
                  *(f'<tr><td class="name">{shown(one.key)}</td><td>{shown(one.question)}</td><td>{shown(one.how)}</td></tr>' for one in entry.asked),
                  "</table>"]
    if entry.worked:
        lines += ["<h4>Worked out for it</h4>", "<table>",
                  *(f'<tr><td class="name">{shown(word)}</td><td>{shown(meaning)}</td></tr>' for word, meaning in entry.worked), "</table>"]
    if entry.examples:
        lines += ["<h4>Examples</h4>", '<div class="examples">', *(_example(one, entry.examples) for one in entry.examples), "</div>"]
    if entry.rests:
        rests = (f"<li>{shown(text)} <i>({shown(certainty)})</i></li>" for text, certainty in entry.rests)
        lines += ["<h4>Rests on</h4>", '<ul class="plain">', *rests, "</ul>"]
    return [*lines, "<h4>The card</h4>", f"<pre>{_pre(entry.card)}</pre>", "</section>"]


def _pre(text: str) -> str:
    """Lines that keep their blanks, each made harmless."""
    return "\n".join(shown(line) for line in text.rstrip("\n").split("\n"))


def _band(limit: LimitShown) -> str:
    return shown(f"{limit.band}; {parts.stricter(limit)}" if limit.band else parts.stricter(limit))


def _clauses(plain: Plain) -> str:
    if not plain.inner:
        return shown(plain.text)
    return f'{shown(plain.text)}<ul class="plain">{"".join(f"<li>{_clauses(one)}</li>" for one in plain.inner)}</ul>'


def _example(example: Shown, others: tuple[Shown, ...]) -> str:
    like = next((one for one in others if one.name == example.like), None)
    start = f'<span class="like">As &ldquo;{shown(like.says.rstrip("."))}&rdquo;, but:</span>' if like is not None else \
        f'<span class="like">As {shown(example.like)}, but:</span>' if example.like else ""
    rows = "".join(f'<tr><td class="name">{shown(thing)}</td><td>{shown(what)}</td></tr>' for thing, what in example.rows)
    comes = "".join(f'<div class="comes">{shown(names)}: <b>{shown(outcome)}</b>{"; " + shown(more) if more else ""}</div>'
                    for names, outcome, more in example.comes)
    return f"<figure><figcaption><b>{shown(example.says)}</b> {start}</figcaption><table>{rows}</table>{comes}</figure>"


def _limits(book: Handbook) -> list[str]:
    if not book.limits:
        return []
    lines = ['<h2 id="the-limits">Limits</h2>', "<p>Numbers of these packs that a house pack may move inside their band: the strict way with a reason, "
             "the loose way also with a name and a day on which it ends. A pack for another trade adopts what that trade publishes, with its source.</p>",
             "<table><tr><th>Limit</th><th>Value</th><th>May be moved</th><th>Set by, and why</th><th>Used by</th></tr>"]
    for one in book.limits:
        why = "<br>".join(shown(line) for line in (*parts.set_by(one), *parts.reasons(one)))
        links = "<br>".join(f'<a href="#{shown(name)}">{shown(name)}</a>' for name in one.used_by)
        lines.append(f'<tr><td class="name">{shown(one.name)}</td><td class="name">{shown(one.value)}</td><td>{_band(one)}</td><td>{why}</td>'
                     f"<td>{links}</td></tr>")
    return [*lines, "</table>"]


def _coverage(book: Handbook) -> list[str]:
    heads = "".join(f"<th>{shown(head)}</th>" for head in ("Practice", "Pack", "Weight", "Examples", *(outcome for outcome, _ in parts.OUTCOMES)))
    lines = ['<h2 id="the-coverage">Coverage</h2>', f"<p>{shown(parts.COVERAGE)}</p>", f"<table><tr>{heads}</tr>"]
    for one in book.covered:
        counts = "".join(f"<td>{count or '–'}</td>" for count in (one.examples, *(count for _, count in one.outcomes)))
        lines.append(f'<tr><td><a href="#{shown(one.practice)}">{shown(parts.named(one))}</a></td><td>{shown(one.pack)}</td>'
                     f"<td>{shown(one.weight)}</td>{counts}</tr>")
    lines.append("</table>")
    if book.left_out:
        lines += ["<h4>Left out, with the reason</h4>", "<table><tr><th>Practice</th><th>Pack</th><th>Because</th></tr>",
                  *(f'<tr><td class="name">{shown(name)}</td><td>{shown(pack)}</td><td>{shown(because)}</td></tr>' for name, pack, because in book.left_out),
                  "</table>"]
    return lines


def _sources(book: Handbook) -> list[str]:
    known = "; ".join(f"<b>{shown(name)}</b>, {shown(meaning)}" for name, meaning in parts.CERTAINTY)
    lines = ['<h2 id="the-sources">Sources</h2>', f"<p>How surely a source is known: {known}.</p>"]
    for about in book.packs:
        lines += [f"<h4>{shown(about.title)}</h4>", *_source_table(about)]
        lines += [f'<p class="small">{shown(text)}</p>' for text in (about.licence, about.note) if text]
    return lines


def _source_table(about: About) -> list[str]:
    if not about.sources:
        return []
    rows = []
    for fields in about.sources:
        rest = ", ".join(text for key, text in fields if key not in ("title", "edition"))
        rows.append(f"<tr><td>{shown(_field(fields, 'title'))}</td><td>{shown(_field(fields, 'edition'))}</td><td>{shown(rest)}</td></tr>")
    return ["<table>", *rows, "</table>"]


def _field(fields: tuple[tuple[str, str], ...], name: str) -> str:
    return next((text for key, text in fields if key == name), "")


def _glossary(book: Handbook) -> list[str]:
    return ['<h2 id="the-words">Words</h2>', "<p>What the cards speak of, as a description writes it.</p>", '<dl class="words">',
            *(f"<div><dt>{shown(word)}</dt><dd>{shown(meaning)}</dd></div>" for word, meaning in book.glossary), "</dl>"]
