"""Words, numbers and pieces of text that are meant to do harm, each with the mark by which it is known wherever it turns up."""

from __future__ import annotations

MARK = "zq7"

#: names and texts
WORDS = (
    f"<script>{MARK}()</script>", f"<img src=x onerror={MARK}()>", f"</title><b>{MARK}", f"]]>{MARK}<!--", f"&lt;{MARK}&amp;",
    f"={MARK}!A1", f"+{MARK}", f"@SUM({MARK})", f"-{MARK}", f"=cmd|'/c {MARK}'!A1",
    f"\uff1d{MARK}!A1", f"\uff0b{MARK}", f"\uff0d{MARK}", f"\uff20SUM({MARK})", f"\u3000\uff1d{MARK}", f"\ufe66{MARK}", "-1+1", "-1e", "\t=1",
    f"{{{{ {MARK}.__class__ }}}}", f"{{% include '{MARK}' %}}", f"${{{MARK}}}", f"%s%n%({MARK})s", f"{{0.{MARK}}}",
    f"__import__('os').system('touch {MARK}')", f"$(touch {MARK})", f"`touch {MARK}`", f"; touch {MARK}", f"| touch {MARK}",
    f"../../{MARK}", f"/etc/{MARK}", f"a/b~{MARK}", f"~1{MARK}~0", f"C:\\{MARK}", f"file:///{MARK}",
    f"\u202e{MARK}\u202c", f"\u2066{MARK}", f"\u200b{MARK}\ufeff", f"{MARK}\u0301\u0301\u0301", f"\U0001f50b{MARK}", f"\u05de\u05e6\u05d1\u05e8{MARK}",
    f"\u2028{MARK}\u2029", f"\u0085{MARK}", f"{MARK} \t {MARK}", f"\x1b[31m{MARK}", f"{MARK}\r\n{MARK}", f"{MARK}\x07",
    MARK + "L" * 197, MARK + "L" * 5000, f"'{MARK}\"", f"\\{MARK}\\", f"`{MARK}`", f"*{MARK}*", f"#{MARK}", f": {MARK}", f"- {MARK}", f"? {MARK}",
    "__proto__", "constructor", "toString", "hasOwnProperty", "parts", "wires", "kind", "null", "~", "true", "on", "off", "", " ", ".", "..", "/",
    "main-bus.", ".load", "main-bus.feed.feed", "a.b.c",
)  # fmt: skip

#: what stands where a quantity or a count is wanted; the first ones are well formed
NUMBERS = (
    "0 A", "1e-300 A", "1e300 A", "1e308 V", "1e99 m", "1e-30 m", "999999999 Ah", "0 m", "0 V", "0.0001 ohm", "1e9 ohm", "0 ohm", "0 min", "1e12 h",
    "1000 C", "-60 C", "100 %", "0 %", "1000000 A", "40 AWG", "4/0 AWG", "0.01 mm2", "1e6 mm2",
    "-5 A", "-0 V", "+5 A", "1e999 A", "1e400 V", "nan A", "inf V", ".inf", ".nan", "-.inf", "0x1F A", "5", "5A A", "5 furlong", "5 a", "1_000 A", "१२ A",
    "1,5 A", "5 A 5 A", "-1 AWG", "99 AWG", "1/0", 0, -1, 1, 2, 1e308, -1e308, 1e-320, 10**30, -(10**30), 10**4400, 0.1, True, False, None,
    "2026-02-30", "9999-12-31", "0000-00-00", "12:30:45", "1:1:1:1",
)  # fmt: skip

#: pieces of YAML that a careless reader would act on, or fall over
YAML = (
    f"!!python/object/apply:os.system ['touch {MARK}']", f"!!python/name:{MARK}.x", f"!{MARK} x", "!!binary aGk=", "&a [*a]", "*missing", "&x y",
    "<<: {a: b}", "{<<: *x}", "? [complex, key]\n: v", "---", "...", "%YAML 9.9\n---", "%TAG ! x\n---", "- - - -", "[[[[", "}}}}", '"open', "'open", "|\n x", ">-",
    "\t", "\x00", "\ufeff", "\r", "\x85", "\u2028", "@", "`", "%", "&", "*", "!", "key: [a, b", "{a: 1, a: 2}", "? ", ": ", "# ",
)  # fmt: skip
