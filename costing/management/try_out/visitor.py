"""Somebody with a browser, as far as the standard library goes: cookies, forms, redirects."""

import re
from dataclasses import dataclass
from http.cookiejar import CookieJar
from urllib.error import HTTPError
from urllib.parse import urlencode
from urllib.request import HTTPCookieProcessor, Request, build_opener

TOKEN = re.compile(r'name="csrfmiddlewaretoken" value="([^"]+)"')
SECONDS = 60


class Surprise(Exception):
    """An answer was not what it should be; the message says what."""


@dataclass(frozen=True, slots=True)
class Answer:
    """What came back, after any redirects."""

    address: str
    status: int
    kind: str
    body: bytes

    @property
    def text(self) -> str:
        """The body as it reads."""
        return self.body.decode(errors="replace")


class Visitor:
    """One person's visit; who they are is in the cookies."""

    def __init__(self, address: str) -> None:
        self.address = address
        self.opener = build_opener(HTTPCookieProcessor(CookieJar()))

    def get(self, path: str) -> Answer:
        """Look at a page; raises Surprise unless it is answered with 200."""
        return self._ask(Request(self.address + path))

    def post(self, path: str, form: str, **fields: str) -> Answer:
        """Send a form that stands on the page `form`; raises Surprise as above."""
        found = TOKEN.search(self.get(form).text)
        if found is None:
            raise Surprise(f"{form} has no form to send.")
        body = urlencode({"csrfmiddlewaretoken": found.group(1), **fields}).encode()
        return self._ask(Request(self.address + path, body, {"Referer": self.address + form}))

    def _ask(self, request: Request) -> Answer:
        try:
            with self.opener.open(request, timeout=SECONDS) as answer:
                return Answer(
                    answer.url.removeprefix(self.address),
                    answer.status,
                    answer.headers.get_content_type(),
                    answer.read(),
                )
        except HTTPError as error:
            with error:
                raise Surprise(f"{request.full_url} answered {error.code}.") from error
