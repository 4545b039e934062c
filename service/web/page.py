"""The few plain HTML pages: no script, nothing from elsewhere."""

from __future__ import annotations

from html import escape

from litestar import MediaType, Response

# A page asks for nothing of the device, and tells no other site where its reader came from.
PAGE_HEADERS = {
    "Referrer-Policy": "no-referrer",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=(), payment=(), usb=()",
}
_POLICY = "default-src 'none'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"


def page(title: str, body: str) -> Response[str]:
    """Return a page; ``body`` is HTML already."""
    text = (
        '<!doctype html><html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{escape(title)}</title></head><body><main>{body}</main></body></html>\n"
    )
    headers = {"Content-Security-Policy": _POLICY, "Cache-Control": "public, no-cache", **PAGE_HEADERS}
    return Response(text, media_type=MediaType.HTML, headers=headers)
