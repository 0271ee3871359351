"""Texts that would act if they were not shown as they stand."""

PAYLOADS = [
    "a | b", "|---|---|", "`code`", "```", "``` sh", "~~~", "~~gone~~", "**bold**", "__bold__", "*i*", "_i_",
    "***", "---", "- - -", "===", "# head", "####### x", "head\n===", "head\n---", "> quote", ">", "- item",
    "+ item", "* item", "1. item", "1) item", "- [x] done", "    code", "\tcode", "[a](http://b)", "[a][b]",
    "[a]: http://b", "[^1]", "[^1]: note", "![a](http://b/c.png)", "![a][b]", "<b>", "</details>",
    "<details open>", "<script>alert(1)</script>", "<img src=x onerror=y>", "<!-- a", "-->", "<http://a.b>",
    "<a@b.cd>", "http://a.b/c", "HTTPS://A.B", "ftp://a.b", "www.a.bc", "WWW.a.bc", "(www.a.bc)", "_www.a.bc_",
    "a@b.cd", "mailto:a@b.cd", "xmpp:a@b.cd/e", "@team", "@org/team", "#12", "org/repo#12", "&lt;b&gt;",
    "&#60;b>", "&amp;", "&#x3c;", "\\", "\\\\", "\\|", "\\`", "a\\", "$x$", "$$x$$", "$`x`$", ":::",
    "{{ name }}", "{% raise %}", "{# x #}", "| a |\n|---|\n| b |", "a\n\nb", "a\r\n\r\n- b", "a\u2028# b",
    "a\u2029", "a\x85# b", "a\x0b# b", "a\x0c", "\x00", "\x1b[31m", "\x1b]8;;http://a.b\x07c\x1b]8;;\x07",
    "\u202eabc", "\u2066a", "\u200b", "\ufeff", "\ufffe", "\U000e0041", "::error::x", "::set-output name=a::b",
    "##[error]x", "##vso[task.complete]", "]]>", "<![CDATA[", "<?xml?>", "javascript:alert(1)", "%0A%0Dx",
    "[!CAUTION]", "[ ](a)", "\xa0\xa0\xa0\xa0a", "\uff5c", "\uff20team", "\uff41", "[[a]]", "==a==", "^a^",
    "H~2~O", "--- | ---",
]  # fmt: skip
