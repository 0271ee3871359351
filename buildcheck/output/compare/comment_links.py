"""Places and rules in a comment, with a link if the address of the files or of the rule pages is known."""

from __future__ import annotations

from urllib.parse import quote

from buildcheck.core.problem import Place
from buildcheck.output.markdown import md, rule_link
from buildcheck.record import Record


class Links(Record):
    """Addresses of the files of the new state and of the rule pages; without one, places or rules are plain text.

    ``rule_page``: the address of a page with ``{rule}`` in place of the rule's id.
    """

    base: str = ""
    rule_page: str = ""

    def at(self, place: Place, folder: str, short: bool = True) -> str:
        """File and line: ``short`` for a build's own file as it is called in its folder, else from the root."""
        whole = place.rebased_on(folder)
        shown = place if short and not place.is_shared else whole
        text = md(f"{shown.file}:{shown.line}")
        if not self.base:
            return text
        return f"[{text}]({self.base.rstrip('/')}/{quote(whole.file)}#L{whole.line})"

    def rule(self, rule: str) -> str:
        """The id of a rule."""
        return rule_link(rule, self.rule_page.replace("{rule}", rule))
