"""The language of a page: what leaves as HTML is put into it, in this one place."""

import json
import re
from collections.abc import Mapping
from pathlib import Path
from threading import Lock

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import Headers, MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from pacewright.office.desk import Desk
from pacewright.office.languages import language, read_texts
from pacewright.office.texts_drawn import script_texts
from pacewright.reports.words.html_text import page_in
from pacewright.reports.words.language import ENGLISH, Language
from pacewright.works import Works

CHOSEN = "pacewright.language"
"""Under this name of a request's scope stands its language."""


_WEIGHT = re.compile(r"[01](\.[0-9]{0,3})?")
"""A weight as RFC 9110 writes it."""


class Languages:
    """The languages that are there, read when the server starts.

    Parameters
    ----------
    files : language -> its file.
    always : language of every page; empty: the one the browser asks for.

    Raises
    ------
    WorksFaultyError : with every fault in their files.
    """

    def __init__(self, desk: Desk, files: Mapping[str, Path], always: str = "") -> None:
        self._desk, self.always = desk, always
        wanted = files if not always else {always: files[always]} if always in files else {}
        self._texts = {code: read_texts(path) for code, path in wanted.items()}
        self.scripts = script_texts() if self._texts else ()
        self._made: dict[str, tuple[Works, Language]] = {}
        self._turn = Lock()

    def __bool__(self) -> bool:
        return bool(self._texts)

    def asked(self, accepted: str) -> Language | None:
        """The language of an answer; None: English."""
        code = self.always or chosen(accepted, [*self._texts, ENGLISH])
        if code not in self._texts:
            return None
        works = self._desk.works
        with self._turn:
            made = self._made.get(code)
            # Names of the works are no words: with its tables changed, there are others.
            if made is None or made[0] is not works:
                made = self._made[code] = works, language(code, self._texts[code], works)
        return made[1]


def chosen(accepted: str, there: list[str]) -> str:
    """The best of the languages there for ``Accept-Language`` (RFC 9110; lookup of RFC 4647).

    Examples
    --------
    >>> chosen("fr-CH, de-AT;q=0.9, en;q=0.8", ["de", "en"])
    'de'
    """
    by_name = {one.lower(): one for one in there}
    for _, tag in sorted(_ranges(accepted), key=lambda one: -one[0]):
        parts = tag.split("-")
        for length in range(len(parts), 0, -1):
            found = by_name.get("-".join(parts[:length]))
            if found:
                return found
    return ENGLISH


def _ranges(accepted: str) -> list[tuple[float, str]]:
    found = []
    for one in accepted[:1000].split(","):
        tag, _, weight = one.partition(";")
        number = weight.partition("=")[2].strip() or "1"
        weighs = float(number) if _WEIGHT.fullmatch(number) else 0.0
        if tag.strip() and weighs > 0:
            found.append((weighs, tag.strip().lower()))
    return found


class InLanguage:
    """Puts pages, and the faults a page's script is told, into the language asked for."""

    def __init__(self, app: ASGIApp, languages: Languages) -> None:
        self.app, self.languages = app, languages

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on and put its answer into the language."""
        asks = scope["type"] == "http" and bool(self.languages)
        asks = asks and not scope["path"].startswith(("/api/", "/static/"))
        spoken = (
            self.languages.asked(Headers(scope=scope).get("accept-language", "")) if asks else None
        )
        if spoken is None:
            await self.app(scope, receive, send)
            return
        scope[CHOSEN] = spoken
        start: Message | None = None
        body = b""

        async def said(message: Message) -> None:
            nonlocal start, body
            if message["type"] == "http.response.start" and _sort(message):
                start = message
            elif start is None:
                await send(message)
            else:
                body += message.get("body", b"")
                if not message.get("more_body"):
                    # Long pages take a while; other requests go on meanwhile.
                    made = await run_in_threadpool(self._said, spoken, start, body)
                    headers = MutableHeaders(scope=start)
                    headers["content-length"] = str(len(made))
                    headers["content-language"] = spoken.code
                    headers.add_vary_header("accept-language")
                    await send(start)
                    await send({"type": "http.response.body", "body": made})

        await self.app(scope, receive, said)

    def _said(self, spoken: Language, start: Message, body: bytes) -> bytes:
        if _sort(start) == "text/html":
            return page_in(spoken, body.decode(), self.languages.scripts).encode()
        if not body:
            return body
        answer = json.loads(body)
        if isinstance(answer, dict) and "faults" in answer:
            answer["faults"] = spoken.data(answer["faults"])
        return json.dumps(answer, ensure_ascii=False).encode()


def _sort(start: Message) -> str:
    """What is to be said in the language: ``text/html``, ``application/json``; empty: nothing."""
    sort = Headers(raw=start["headers"]).get("content-type", "").partition(";")[0]
    return sort if sort in ("text/html", "application/json") else ""
