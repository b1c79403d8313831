"""The survey as one HTML file: no script, nothing fetched, prints well in black and white."""

from __future__ import annotations

from html import escape
from itertools import groupby

from linter.base.text import clean
from linter.reports import one_ending, phrases
from linter.survey.record import DISCLAIMER, Finding, Survey

_STYLE = """
:root { color-scheme: light }
body { font: 11pt/1.45 Georgia, "Times New Roman", serif; max-width: 46rem; margin: 2rem auto; padding: 0 1rem; color: #111; background: #fff }
h1 { font-size: 1.5rem; margin: 0 0 .2rem } h2 { font-size: 1.1rem; margin: 1.8rem 0 .4rem; border-bottom: 1px solid #777 }
section.finding { border: 1px solid #777; border-left-width: 6px; margin: .8rem 0; padding: .4rem .8rem; break-inside: avoid }
section.danger, section.warning { border-left-color: #111 } section.notice { border-left-width: 1px }
section.finding h3 { font-size: 1rem; margin: .1rem 0 .4rem } .weight { font-weight: bold; text-transform: uppercase; letter-spacing: .05em }
dl { display: grid; grid-template-columns: 6.5rem 1fr; gap: .1rem .6rem; margin: 0 } dt { font-style: italic } dd { margin: 0; overflow-wrap: anywhere }
table { border-collapse: collapse } td, th { text-align: left; padding: .1rem .8rem .1rem 0; border-bottom: 1px solid #ccc; vertical-align: top }
footer { margin-top: 2rem; border-top: 1px solid #777; font-size: .9rem }
@media print { body { margin: 0; max-width: none } @page { margin: 18mm } }
""".strip()


def shown(text: str) -> str:
    """Text made harmless for a page."""
    return escape(clean(text, 4000), quote=True)


def html(surveys: tuple[Survey, ...]) -> str:
    """All surveys on one page."""
    title = shown(surveys[0].title or surveys[0].file) if len(surveys) == 1 else "Surveys"
    lines = ["<!DOCTYPE html>", '<html lang="en">', "<head>", '<meta charset="utf-8">',
             '<meta http-equiv="Content-Security-Policy" content="default-src \'none\'; style-src \'unsafe-inline\'">',
             '<meta name="viewport" content="width=device-width, initial-scale=1">', f"<title>{title}</title>", f"<style>{_STYLE}</style>", "</head>", "<body>"]
    for survey in surveys:
        lines += _one(survey)
    lines += [f"<footer><p>{shown(DISCLAIMER)}</p></footer>", "</body>", "</html>"]
    return one_ending(lines)


def _one(survey: Survey) -> list[str]:
    summary = survey.summary
    lines = ["<article>", f"<h1>{shown(survey.title or survey.file)}</h1>",
             f"<p>{shown(survey.file)}, {phrases.day(survey.on)}: {shown(phrases.extent(summary))}.<br>"
             f"Held against {shown(phrases.packs_said(summary) or 'no pack')}.</p>",
             "<table>", *(f"<tr><th>{name}</th><td>{count}</td></tr>" for name, count in phrases.tally(summary)), "</table>"]
    lines += [f"<p>{shown(remark.text)}</p>" for remark in summary.remarks]
    for (weight, outcome), group in groupby(survey.findings, key=lambda f: (f.weight, f.outcome)):
        lines.append(f"<h2>{weight.capitalize()}: {outcome}</h2>")
        for finding in group:
            lines += _finding(finding)
    lines += _also(survey)
    taken = phrases.taken_as(survey)
    if taken:
        lines += ["<h2>Taken as, because not stated</h2>", "<ul>", *(f"<li>{shown(line)}</li>" for line in taken), "</ul>"]
    lines += [f"<p>Listed: {shown(summary.listed)}. Not looked at: {shown(', '.join(summary.not_looked_at))}.</p>", "</article>"]
    return lines


def _also(survey: Survey) -> list[str]:
    """Variants held against besides, if somebody asked."""
    if not survey.also:
        return []
    from linter.reports import also

    lines = [f"<h2>{also.HEADING}</h2>"]
    for one in survey.also:
        lines += ['<section class="finding notice">', f"<h3>{shown(also.title(one))}: {one.outcome}</h3>", "<dl>",
                  *(f"<dt>{label}</dt><dd>{'<br>'.join(shown(line) for line in words)}</dd>" for label, words in also.rows(one)), "</dl>", "</section>"]
    return lines


def _finding(finding: Finding) -> list[str]:
    rows = [
        ("Where", f"{finding.place + ', ' if finding.place else ''}{phrases.where(finding)}"), ("Found", finding.found), ("Asked", finding.asked),
        ("When", str(finding.when)), ("Why", finding.why), ("Mend", finding.mending), ("Practice", finding.follows),
        ("Agreed", f"{finding.agreed.because} ({finding.agreed.agreed_by}, until {finding.agreed.until})" if finding.agreed else ""),
        ("Find out", "; ".join(f"{q.name}: {q.asks} {q.how}" + (f" ({q.tips})" if q.tips else "") for q in finding.questions)),
        ("By way of", ", ".join(finding.through)), ("Rests on", "; ".join(phrases.fact_line(finding))), ("Note", "; ".join(finding.remarks)),
    ]
    if finding.explained is not None:
        from linter.reports import explaining  # only when asked for

        rows += explaining.rows(finding.explained)
    return [f'<section class="finding {finding.weight}">',
            f'<h3><span class="weight">{finding.weight}</span> {finding.outcome}: {shown(finding.practice)}, {shown(phrases.subject(finding))}</h3>', "<dl>",
            *(f"<dt>{label}</dt><dd>{shown(words)}</dd>" for label, words in rows if words), "</dl>", "</section>"]
