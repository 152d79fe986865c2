"""150 texts that would do something if any reader of the site, the feeds or the tables took them for more than text."""

from __future__ import annotations

_SCRIPTS = (
    "alert(1)", "fetch('//evil.example')", "document.cookie",
)  # fmt: skip
MARKUP = (
    *(f"<script>{code}</script>" for code in _SCRIPTS),
    *(f"<img src=x onerror={code}>" for code in _SCRIPTS),
    *(f"<svg onload={code}>" for code in _SCRIPTS),
    *(f'"><script>{code}</script>' for code in _SCRIPTS),
    *(f"' onmouseover='{code}' x='" for code in _SCRIPTS),
    *(f'" onfocus="{code}" autofocus x="' for code in _SCRIPTS),
    *(f"<{tag} src=//evil.example>" for tag in ("iframe", "embed", "frame", "audio", "video", "input type=image", "script")),
    *(f"</{tag}><b>out</b>" for tag in ("title", "style", "script", "textarea", "main", "body", "html", "time", "a", "table")),
    *(f"<{tag}>" for tag in ("base href=//evil.example", "meta http-equiv=refresh content=0", "link rel=stylesheet href=//e", "form action=//e", "object data=//e", "style>*{display:none}</style", "plaintext", "xmp", "noscript", "template", "math", "marquee", "dialog open", "details open ontoggle=alert(1)")),
    "<!-- ", "-->", "<![CDATA[", "]]>", "<?xml version='1.0'?>", "<!DOCTYPE html>", "<", ">", "&", "&lt;script&gt;", "&#60;script&#62;",
    "&#x3c;b&#x3e;", "<scr<script>ipt>", "<b", "<a href=javascript:alert(1)>x</a>", "<a href=data:text/html,x>x</a>", "\u003cscript\u003e", "＜script＞",
)  # fmt: skip
MARKDOWN = (
    "[x](javascript:alert(1))", "[x](JaVaScRiPt:alert(1))", "[x](data:text/html;base64,PHNjcmlwdD4=)", "[x](vbscript:x)", "![x](//evil.example/x.png)",
    "[x](&#106;avascript:alert(1))", "[x](java\tscript:alert(1))", "<javascript:alert(1)>", "[x][y]", "[y]: javascript:alert(1)",
    "[x](//evil.example 'a\" onclick=\"alert(1)')", "`<script>`", "**<b onclick=alert(1)>x</b>**", "[x](file:///etc/passwd)", "[x](ftp://e)",
)  # fmt: skip
TEMPLATES = (
    "{{ 7*7 }}", "{% for x in y %}", "{# gone #}", "{{ ''.__class__.__mro__ }}", "{{ site }}", "{% include '/etc/passwd' %}", "{{", "{%", "${7*7}",
    "#{7*7}", "%(x)s", "%s%n", "{0}", "{x.__class__}", "<%= 7*7 %>",
)  # fmt: skip
CALENDARS = (
    "x\nEND:VEVENT", "x\r\nBEGIN:VALARM", "END:VCALENDAR", "BEGIN:VEVENT", "a;b,c:d\\e", "ATTACH:http://evil.example", ";VALUE=URI:x",
    "ATTENDEE:mailto:x@evil.example", "x\\\\n", "\\", "\\;", "x" * 74, "🍐" * 30, "é" * 80, "UID:1", "DTSTART:20270101", "X-EVIL:1", '"', "^n", ":",
)  # fmt: skip
PATHS = (
    "../../etc/passwd", "/etc/passwd", "..", "C:\\Windows\\x", "CON", "a/b/c", "\\\\host\\share", "%2e%2e%2f", "file:///etc/passwd", "index.html",
)  # fmt: skip
TABLES = (
    "=1+1",
    "+1+1",
    "-1+1",
    "@SUM(A1)",
    "=cmd|' /C calc'!A0",
    '=HYPERLINK("http://evil.example")',
    ";=1",
    '","=1+1',
    "\uff1d1+1",
    "=",
)
OTHERS = (
    "\u202egpj.exe", "\u200b", "\u2066x", "\u0301" * 40, "ﷺ" * 10, "null", "x\u2028x", "İıſK", "javascript:alert(1)", "x" * 2000, "0", "-0", "\U000e0041", "'; DROP TABLE trees; --",
)  # fmt: skip
HOSTILE = tuple(dict.fromkeys((*MARKUP, *MARKDOWN, *TEMPLATES, *CALENDARS, *PATHS, *TABLES, *OTHERS)))
