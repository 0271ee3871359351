"""Places in a comment: file and line, with a link where the address of the files is known."""

from __future__ import annotations

from urllib.parse import quote

from buildcheck.core.problem import Place
from buildcheck.output.markdown import md
from buildcheck.record import Record


class Links(Record):
    """The address under which the files of the new state can be seen; without one, places are plain text."""

    base: str = ""

    def at(self, place: Place, folder: str, short: bool = True) -> str:
        """File and line: ``short`` for a build's own file as it is called in its folder, else from the root."""
        whole = place.rebased_on(folder)
        shown = place if short and not place.is_shared else whole
        text = md(f"{shown.file}:{shown.line}")
        if not self.base:
            return text
        return f"[{text}]({self.base.rstrip('/')}/{quote(whole.file)}#L{whole.line})"
