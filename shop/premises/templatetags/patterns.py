"""The block tag of the pattern page: shows a part of the look and, folded away, the HTML that makes it."""

from __future__ import annotations

from textwrap import dedent

from django import template
from django.template.base import FilterExpression, NodeList, Parser, Token
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

register = template.Library()


class PatternNode(template.Node):
    """One part of the look, drawn as it is used and written out as it was drawn."""

    def __init__(self, title: FilterExpression, nodelist: NodeList) -> None:
        self.title = title
        self.nodelist = nodelist

    def render(self, context: template.Context) -> SafeString:
        """Return the part under its title, with its HTML in a fold below."""
        drawn = self.nodelist.render(context)
        written = dedent("\n".join(line for line in drawn.splitlines() if line.strip()))
        return format_html(
            '<section class="pattern"><h3 class="pattern-title">{}</h3><div class="stack-close">{}</div>'
            '<details class="more"><summary>HTML</summary><pre class="pattern-html" tabindex="0">{}</pre></details></section>',
            self.title.resolve(context),
            mark_safe(drawn),  # noqa: S308  (rendered by this engine, already escaped)
            written,
        )


@register.tag
def pattern(parser: Parser, token: Token) -> PatternNode:
    """Read ``{% pattern "Title" %} … {% endpattern %}``."""
    _, title = token.split_contents()
    nodelist = parser.parse(("endpattern",))
    parser.delete_first_token()
    return PatternNode(parser.compile_filter(title), nodelist)
