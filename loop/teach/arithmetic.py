"""Arithmetic as text: formatting of numbers, and evaluation of formulas."""

import ast
import math
import operator
import re
from collections.abc import Callable, Mapping

_NAME = re.compile(r"[^\W\d]\w*")
_FUNCTIONS: dict[str, Callable[..., float]] = {
    "sqrt": math.sqrt,
    "ln": math.log,
    "log10": math.log10,
    "exp": math.exp,
    "sin": math.sin,
    "cos": math.cos,
    "max": max,
}
_OPERATORS: dict[type[ast.operator], Callable[[float, float], float]] = {
    ast.Add: operator.add,
    ast.Sub: operator.sub,
    ast.Mult: operator.mul,
    ast.Div: operator.truediv,
    ast.Pow: operator.pow,
}
_SUPERSCRIPTS = str.maketrans("0123456789", "⁰¹²³⁴⁵⁶⁷⁸⁹")
# Range of numbers written out; smaller and larger ones have a power of ten.
_PLAIN_MIN, _PLAIN_MAX = 1e-4, 1e9
# Smaller than any figure of a loop: rounding error of a zero difference.
_ZERO_BELOW = 1e-10


def number_text(value: float, digits: int) -> str:
    """A number rounded to `digits` significant digits, without thousands separators.

    Written out from 0.0001 to 1e9; others with a power of ten, as keyed into a calculator with EE.

    >>> number_text(22981.3, 4), number_text(0.0001893, 3), number_text(8.724e-7, 3)
    ('22980', '0.000189', '8.72e-7')
    """
    if abs(value) < _ZERO_BELOW:
        return "0"
    rounded = float(f"{value:.{digits - 1}e}")
    size = abs(rounded)
    if _PLAIN_MIN <= size < _PLAIN_MAX:
        return f"{rounded:.{max(0, digits - 1 - math.floor(math.log10(size)))}f}"
    mantissa, exponent = f"{value:.{digits - 1}e}".split("e")
    return f"{mantissa}e{int(exponent)}"


def short_text(value: float, digits: int) -> str:
    """As `number_text`, without trailing zeros of a decimal fraction.

    >>> short_text(0.01905, 6), short_text(180.0, 5)
    ('0.01905', '180')
    """
    mantissa, mark, exponent = number_text(value, digits).partition("e")
    if "." in mantissa:
        mantissa = mantissa.rstrip("0").rstrip(".")
    return mantissa + mark + exponent


def evaluate(formula: str, numbers: Mapping[str, float]) -> float:
    """Value of a formula with + - * / **, the functions below, and the names in `numbers`.

    ``sqrt``, ``ln``, ``log10``, ``exp``, ``sin`` and ``cos`` (radians), ``max``, and ``π``.

    Raises ValueError for anything else: the text is never run as code.

    >>> evaluate("sqrt(a**2 + b**2)", {"a": 3.0, "b": 4.0})
    5.0
    """
    return _value(ast.parse(formula.strip(), mode="eval").body, {"π": math.pi, **numbers})


def _value(node: ast.expr, numbers: Mapping[str, float]) -> float:
    # A sum of a thousand losses nests a thousand deep on its left side, so that side is iterated.
    pending: list[tuple[Callable[[float, float], float], ast.expr]] = []
    while isinstance(node, ast.BinOp) and type(node.op) in _OPERATORS:
        pending.append((_OPERATORS[type(node.op)], node.right))
        node = node.left
    value = _term(node, numbers)
    for combine, right in reversed(pending):
        value = float(combine(value, _value(right, numbers)))
    return value


def _term(node: ast.expr, numbers: Mapping[str, float]) -> float:
    """Value of a node that is not a binary operation."""
    match node:
        case ast.Constant(value=int() | float() as value):
            return float(value)
        case ast.Name(id=name) if name in numbers:
            return numbers[name]
        case ast.UnaryOp(op=ast.USub(), operand=operand):
            return -_value(operand, numbers)
        case ast.Call(func=ast.Name(id=name), args=args) if name in _FUNCTIONS:
            return float(_FUNCTIONS[name](*(_value(argument, numbers) for argument in args)))
    raise ValueError(f"not arithmetic: {ast.unparse(node)}")


def handwritten(formula: str) -> str:
    """A formula in handwritten notation.

    >>> handwritten("K * V**2 / (2 * g)")
    'K × V² ÷ (2 × g)'
    """
    text = re.sub(r"\*\*(\d)(?![\d.])", lambda power: power[1].translate(_SUPERSCRIPTS), formula)
    text = text.replace("**", "^").replace("*", "×").replace("/", "÷").replace("sqrt", "√")
    return re.sub(r"(?<![e\d])-|(?<=\s)-", "−", text)


def substituted(formula: str, texts: Mapping[str, str]) -> str:
    """A formula in handwritten notation with numbers in place of its symbols.

    >>> substituted("H - z", {"H": "1.2", "z": "-0.3"})
    '1.2 − (−0.3)'
    """

    def number(name: re.Match[str]) -> str:
        text = texts.get(name[0], name[0])
        stands_alone = formula[: name.start()].rstrip()[-1:] in ("", "(", ",")
        is_raised = formula[name.end() :].startswith("**")
        return f"({text})" if text.startswith("-") and (is_raised or not stands_alone) else text

    return handwritten(_NAME.sub(number, formula))
