"""An id as one step of an address, whatever signs it holds, and back again.

A vehicle may be ``12/3``. Written ``12%2F3``, many a server and proxy reads the stroke as the end
of a step; browsers read ``..`` as one step up. So signs that mean something in an address are
written with a tilde and their number: ``12~2F3``. No table or record takes an id with a tilde, and
the tilde itself is never changed on the way (RFC 3986, section 2.3).
"""

import re
from urllib.parse import quote

_OTHER = re.compile(rb"[^A-Za-z0-9._-]")
_WRITTEN = re.compile(rb"~([0-9A-Fa-f]{2})")


def step(name: str) -> str:
    """The id as one step of an address.

    Examples
    --------
    >>> step("1043"), step("12/3"), step("..")
    ('1043', '12~2F3', '~2E.')
    """
    written = _OTHER.sub(lambda one: b"~%02X" % one[0][0], name.encode())
    if written in (b".", b".."):
        written = b"~2E" + written[1:]
    return written.decode()


def name_of(said: str) -> str:
    """The id that a step of an address names; a step typed without the marks is taken as it is.

    Examples
    --------
    >>> name_of("12~2F3"), name_of("12~"), name_of(step("~2F"))
    ('12/3', '12~', '~2F')
    """
    read = _WRITTEN.sub(lambda one: bytes.fromhex(one[1].decode()), said.encode())
    return read.decode(errors="replace")


def value(text: str) -> str:
    """Text as a value after the ``?`` of an address; the mark of a code stays readable.

    Examples
    --------
    >>> value("body:B 1&2")
    'body:B%201%262'
    """
    return quote(text, safe=":")


def filled(address: str, name: str) -> str:
    """An address with ``{}`` replaced by an id: a step of the path, or a value after the ``?``.

    Examples
    --------
    >>> filled("/vehicles/{}", "12/3"), filled("/serial?code={}", "motor:A/7")
    ('/vehicles/12~2F3', '/serial?code=motor:A%2F7')
    """
    before, mark, after = address.partition("{}")
    return f"{before}{value(name) if '?' in before else step(name)}{after}" if mark else address
