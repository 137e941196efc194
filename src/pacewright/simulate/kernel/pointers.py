"""The memory handed on as a mere address: a function call hands over one word, not an array.

An index is then a plain offset; no place is ever counted from the end. That no index lies outside
is for the kernel to see to, as in any language close to the machine.
"""

from typing import Any

from llvmlite import ir
from numba import types
from numba.extending import intrinsic


@intrinsic
def words_of(typingctx: Any, array: Any) -> Any:
    """Address of an array of whole numbers."""
    return types.CPointer(types.int64)(array), _address


@intrinsic
def reals_of(typingctx: Any, array: Any) -> Any:
    """The same address, its words seen as numbers with a fraction."""
    return types.CPointer(types.float64)(array), _address


def _address(context: Any, builder: Any, signature: Any, arguments: Any) -> ir.Value:
    data = context.make_array(signature.args[0])(context, builder, arguments[0]).data
    return builder.bitcast(data, context.get_value_type(signature.return_type))
