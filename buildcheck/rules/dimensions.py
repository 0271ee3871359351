"""Kinds of values and what arithmetic makes of them: a length and a force never meet in a sum."""

from __future__ import annotations

Dimensions = tuple[int, int, int, int]  # length, force, temperature, angle

DIMENSIONS: dict[str, Dimensions] = {
    "angle": (0, 0, 0, 1),
    "count": (0, 0, 0, 0),
    "force": (0, 1, 0, 0),
    "length": (1, 0, 0, 0),
    "pressure": (-2, 1, 0, 0),
    "rate": (-1, 1, 0, 0),
    "ratio": (0, 0, 0, 0),
    "temperature": (0, 0, 1, 0),
    "temperature difference": (0, 0, 1, 0),
    "torque": (1, 1, 0, 0),
    "volume": (3, 0, 0, 0),
}
_NAMES = {DIMENSIONS[kind]: kind for kind in ("angle", "force", "length", "pressure", "rate", "ratio", "volume")}
_PURE = ("count", "ratio")


class KindError(ValueError):
    """Two kinds that cannot be added, compared or used so."""


def dimensions(kind: str) -> Dimensions:
    """Exponents of a kind; a product without a name carries its exponents as its name."""
    if kind in DIMENSIONS:
        return DIMENSIONS[kind]
    if not kind.startswith("("):
        raise KindError(f"{kind} is not a value that can be compared or computed with")
    a, b, c, d = (int(part) for part in kind.strip("()").split(","))
    return (a, b, c, d)


def alike(one: str, other: str) -> bool:
    """Whether two kinds may be added or compared."""
    if one == other:
        return True
    unnamed = one.startswith("(") or other.startswith("(") or (one in _PURE and other in _PURE)
    return unnamed and dimensions(one) == dimensions(other)


def combined(operator: str, one: str, other: str) -> str:
    """The kind that ``one operator other`` has; KindError where it has none.

    >>> combined("*", "rate", "length")
    'force'
    >>> combined("-", "temperature", "temperature")
    'temperature difference'
    """
    if operator in "+-":
        if not alike(one, other) or (operator == "+" and one == "temperature"):
            raise KindError(
                f"{described(one)} and {described(other)} cannot be {'added' if operator == '+' else 'subtracted'}"
            )
        return "temperature difference" if (operator, one) == ("-", "temperature") else one
    if other in _PURE:
        dimensions(one)
        return one
    sign = 1 if operator == "*" else -1
    left, right = dimensions(one), dimensions(other)
    a, b, c, d = (one + sign * other for one, other in zip(left, right, strict=True))
    return _NAMES.get((a, b, c, d), f"({a},{b},{c},{d})")


def described(kind: str) -> str:
    """A kind in words for a message."""
    article = "an" if kind[0] in "aeiou" else "a"
    return f"{article} {kind}" if not kind.startswith("(") else "a compound value"
