"""What both forms of the handbook say alike."""

from __future__ import annotations

from linter.base.text import listed
from linter.language.plainly import units
from linter.language.typed import Setting
from linter.packs.handbook import About, Chapter, Covered, Handbook, LimitShown

WEIGHTS = (("danger", "will kill or seriously hurt somebody"), ("warning", "could kill or seriously hurt somebody"),
           ("caution", "could hurt somebody a little, or break things"), ("notice", "nobody is hurt"))
OUTCOMES = (("met", "it is so"), ("not met", "it is not so, in at least one operating state"),
            ("cannot tell", "what is known does not settle it; never taken for met"), ("does not apply", "it was passed over"))
CERTAINTY = (("verified", "read in the source, or in a page that quotes it"), ("recalled", "from memory; read it before you lean on it"),
             ("computed", "follows from physics or arithmetic"), ("trade", "habit of the trade"))
STATES = "Every practice is held in every operating state: each combination of switches, plugs, engine, sun and shore that can be."
CARE = ("These are generic practices, not your local code, and no substitute for a qualified installer. Live batteries can burn and blind: cover posts "
        "and take rings off before you work on them.")


COVERAGE = "Every practice with its examples: how many there are, and how many of their things are expected to come out each way."


def named(one: Covered) -> str:
    """A practice with its earlier names."""
    return one.practice + (f" (formerly {', '.join(one.formerly)})" if one.formerly else "")


def title(book: Handbook) -> str:
    """Of the whole."""
    return listed([about.title for about in book.packs])


def edition(about: About) -> str:
    """ "edition 1.0, content 562c4a87a34a, builds on low-voltage-basics edition 1.0"."""
    built = "".join(f", builds on {name} edition {number}" for name, number in about.builds_on)
    return f"{about.name}, edition {about.edition}, content {about.content[:12]}{built}"


def heading(chapter: Chapter, book: Handbook) -> str:
    """A chapter's title, with its pack where there are several."""
    return f"{chapter.title} ({chapter.pack})" if len(book.packs) > 1 else chapter.title


def set_by(limit: LimitShown) -> list[str]:
    """Who set a limit, first to last: the packs in order."""
    found = []
    for number, step in enumerate(limit.chain):
        verb = f", {_verb(step.verb)}" if number else ""
        found.append(f"{step.pack}: {units(step.text)}{verb}" + (f", agreed by {step.agreed_by} until {step.until}" if step.agreed_by else ""))
    return found


def reasons(limit: LimitShown) -> list[str]:
    """Why, by the pack that says so, and what an adopted figure rests on."""
    return [f"{step.pack}: {step.because}{_rests(step)}" for step in limit.chain if step.because] or [limit.because]


def _rests(step: Setting) -> str:
    return "".join(f" Rests on {text} ({certainty})." for text, certainty in step.rests)


def stricter(limit: LimitShown) -> str:
    """Which way is stricter, in words."""
    return {"lower": "lower is stricter", "higher": "higher is stricter"}.get(limit.stricter, "neither way is stricter")


def _verb(verb: str) -> str:
    return {"adopt": "adopted", "tighten": "tightened", "loosen": "loosened"}.get(verb, verb)
