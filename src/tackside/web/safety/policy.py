"""Headers that every answer carries: a strict Content-Security-Policy and its kin."""

from __future__ import annotations

# Nothing inline, nothing from outside, no frames but our own reports.
PAGE_POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self' blob:",
        "font-src 'self'",
        "connect-src 'self'",
        "worker-src 'self'",
        "frame-src 'self'",
        "form-action 'self'",
        "frame-ancestors 'none'",
        "base-uri 'none'",
    )
)
# A published report holds its style, fonts and drawings in itself. It is shown shut in, and runs nothing.
REPORT_POLICY = "; ".join(
    (
        "default-src 'none'",
        "style-src 'unsafe-inline'",
        "img-src data:",
        "font-src data:",
        "frame-ancestors 'self'",
        "base-uri 'none'",
        "form-action 'none'",
        "sandbox",
    )
)
HEADERS = {
    "content-security-policy": PAGE_POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(), microphone=(), geolocation=(), payment=(), usb=()",
    "x-frame-options": "DENY",
    "cache-control": "no-store",
}
