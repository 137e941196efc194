"""The memory handed on as a mere address: a function call hands over one word, not an array.

An index is then a plain offset; no place is ever counted from the end. That no index lies outside
is for the kernel to see to, as in any language close to the machine.
"""

from typing import Any

from llvmlite import ir
from numba import types
from numba.extending import intrinsic

# The library's types carry no annotations for the checker.
_pointer: Any = types.CPointer


def _words_of(typingctx: Any, array: Any) -> Any:
    return _pointer(types.int64)(array), _address


def _reals_of(typingctx: Any, array: Any) -> Any:
    return _pointer(types.float64)(array), _address


def _address(context: Any, builder: Any, signature: Any, arguments: Any) -> ir.Value:
    data = context.make_array(signature.args[0])(context, builder, arguments[0]).data
    return builder.bitcast(data, context.get_value_type(signature.return_type))


words_of: Any = intrinsic(_words_of)
"""Address of an array of whole numbers."""

reals_of: Any = intrinsic(_reals_of)
"""The same address, its words seen as numbers with a fraction."""
