"""Reading files and writing results: the tool's only contact with the machine it runs on."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterable
from pathlib import Path

from linter.base.bounds import FILE_BYTES
from linter.base.diagnostic import Diagnostic, in_order

_MOST_FILES = 10_000
_SKIPPED_FOLDERS = {"node_modules", "__pycache__"}


class Unusable(Exception):
    """Input or output that cannot be used at all; shown like a diagnostic, exit status 2."""

    def __init__(self, headline: str, labels: list[tuple[str, str]]) -> None:
        super().__init__(headline)
        self.headline = headline
        self.labels = labels


def columns() -> int:
    """Width to lay text out for: the terminal's, between 60 and 100; 80 where there is none, so that files come out alike."""
    if not sys.stdout.isatty():
        return 80
    try:
        return max(60, min(100, os.get_terminal_size(sys.stdout.fileno()).columns))
    except (OSError, ValueError):
        return 80


def why_not(trouble: OSError) -> str:
    """An operating system's refusal in plain words."""
    words = {FileNotFoundError: "there is no such file", PermissionError: "reading or writing it is not permitted", IsADirectoryError: "it is a folder",
             NotADirectoryError: "part of the path is a file, not a folder", FileExistsError: "something of that name is in the way"}
    return next((said for sort, said in words.items() if isinstance(trouble, sort)), (trouble.strerror or "it cannot be used").lower())


def read(path: str) -> bytes:
    """The bytes of a file, or of standard input for "-", at most a little more than a description may have.

    Raises:
        Unusable: it cannot be read.
    """
    try:
        if path == "-":
            return sys.stdin.buffer.read(FILE_BYTES.most + 1)
        with open(path, "rb") as file:
            return file.read(FILE_BYTES.most + 1)
    except OSError as trouble:
        raise Unusable(f"{path} cannot be read", [("Because", why_not(trouble))]) from None
    except ValueError:
        raise Unusable("A file name cannot be used", [("Because", "it holds a character no file name can have")]) from None


def descriptions(paths: Iterable[str]) -> list[str]:
    """Files to read: each file as named, and in each folder every .yaml or .yml that holds a `tugtest:` key at its left edge.

    Raises:
        Unusable: a path is not there, or a folder holds no description.
    """
    found: dict[str, None] = {}
    for path in paths:
        if path == "-" or not os.path.isdir(path):
            found[path] = None
            continue
        inside = [str(file) for file in _yaml_files(Path(path)) if _is_description(file)]
        if not inside:
            raise Unusable(f"{path} holds no description", [("Looked for", "files ending in .yaml or .yml with a line that starts with tugtest:")])
        found.update(dict.fromkeys(inside))
    return list(found)


def _yaml_files(folder: Path) -> Iterable[Path]:
    seen = 0
    for root, folders, files in os.walk(folder, followlinks=False):
        folders[:] = sorted(name for name in folders if not name.startswith(".") and name not in _SKIPPED_FOLDERS)
        for name in sorted(files):
            seen += 1
            if seen > _MOST_FILES:
                raise Unusable(f"{folder} holds too many files", [("Because", f"at most {_MOST_FILES} are looked through"), ("Mend", "Name a smaller folder.")])
            if name.endswith((".yaml", ".yml")):
                yield Path(root) / name


def _is_description(file: Path) -> bool:
    try:
        with open(file, "rb") as opened:
            head = opened.read(FILE_BYTES.most + 1)
    except OSError:
        return False
    return head.startswith(b"tugtest:") or b"\ntugtest:" in head


def fetcher(path: str) -> Callable[[str], bytes | None]:
    """Reads a file named by an `include:` of the description at `path`, only from inside that description's own folder.

    Links are followed before the place is judged, so a link that leads out of the folder is refused like the path it stands for.
    """
    home = Path.cwd().resolve() if path == "-" else Path(path).resolve().parent

    def fetch(name: str) -> bytes | None:
        try:
            target = (home / name).resolve()
            if not target.is_relative_to(home):
                return None
            with open(target, "rb") as file:
                return file.read(FILE_BYTES.most + 1)
        except (OSError, ValueError):
            return None

    return fetch


def write(text: str, to: str | None) -> None:
    """Writes a result to standard output, or to a file.

    Raises:
        Unusable: the file cannot be written.
    """
    if to is not None and to != "-":
        try:
            with open(to, "w", encoding="utf-8", newline="\n") as file:
                file.write(text)
        except (OSError, ValueError) as trouble:
            because = why_not(trouble) if isinstance(trouble, OSError) else "it is no file name"
            raise Unusable(f"{to} cannot be written", [("Because", because)]) from None
        return
    try:
        # A terminal that cannot show "²" gets an escape instead of a crash.
        _forgiving(sys.stdout)
        sys.stdout.write(text)
        sys.stdout.flush()
    except BrokenPipeError:
        # `tugtest check … | head`: the reader has seen enough. The exit status still tells the outcome.
        keep_quiet_after_broken_pipe()
    except OSError as trouble:
        keep_quiet_after_broken_pipe()
        raise Unusable("The result cannot be written", [("Because", why_not(trouble))]) from None


def keep_quiet_after_broken_pipe() -> None:
    """Points standard output at nothing, so that Python's own last flush does not complain."""
    try:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    except (OSError, ValueError):
        return


def _forgiving(stream: object) -> None:
    reconfigure = getattr(stream, "reconfigure", None)
    if reconfigure is not None:
        reconfigure(errors="backslashreplace")


def tell(diagnostics: list[Diagnostic]) -> None:
    """Shows what is wrong with the input, all of it, in order, on standard error."""
    from linter.reports.telling import telling

    if diagnostics:
        _to_stderr(telling(in_order(diagnostics)))


def tell_plainly(headline: str, labels: list[tuple[str, str]]) -> None:
    """A headline and labels on standard error."""
    from linter.reports.page import labelled, paragraph

    lines = paragraph(headline)
    for label, text in labels:
        lines += labelled(label, text, gap=12)
    _to_stderr("\n".join(lines) + "\n")


def _to_stderr(text: str) -> None:
    try:
        _forgiving(sys.stderr)
        sys.stderr.write(text)
        sys.stderr.flush()
    except (BrokenPipeError, OSError):
        return


def progress(done: int, total: int, name: str) -> None:
    """"3 of 12  van.yaml" on a terminal, overwritten by the next; nothing where nobody looks."""
    if total < 2 or not sys.stderr.isatty():
        return
    from linter.base.text import clean

    line = f"{done} of {total}  {clean(name, 60)}" if done <= total else ""
    _to_stderr("\r" + line.ljust(78)[:78] + ("\r" if done > total else ""))
