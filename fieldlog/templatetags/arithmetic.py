"""How a calculation's description is written on its page."""

from django import template

from fieldlog.forms.arithmetic import example_words
from plots.calc.described import BY_DEFINITION, MEMORY, PRACTICE, PUBLISHED, WORKED_OUT

register = template.Library()

_BASIS = {
    PUBLISHED: "",
    WORKED_OUT: "worked out",
    MEMORY: "from memory, not checked",
    PRACTICE: "common practice, no source",
    BY_DEFINITION: "",
}


@register.filter
def basis_words(source):
    """What a source's basis says beyond its title."""
    words = _BASIS[source.basis]
    return "" if words and source.title.casefold().startswith(words.partition(",")[0]) else words


@register.filter
def puts_rules_first(calculation):
    """Whether its own cautions say already that local rules come first."""
    return any("local rules" in caution.casefold() for caution in calculation.cautions)


@register.filter
def limits(one):
    """What a number's field accepts and an example: "a number above 0 lb, such as 90". Choices speak for themselves."""
    if one.kind != "number":
        return ""
    example = example_words(one)
    return f"{one.accepted}, such as {example}" if example else one.accepted
