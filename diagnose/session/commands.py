"""The words that may be typed at any prompt."""

from __future__ import annotations

# word -> (what follows it, what it does)
WORDS: dict[str, tuple[str, str]] = {
    "help": ("", "these words"),
    "why": ("", "why this is asked, and what each answer would do"),
    "what": ("[NUMBER]", "what a question, or a number of it, means: how yes and no look"),
    "points": ("", "what points to the likeliest cause, and what away from it"),
    "suppose": ("ANSWER", "what would follow if this were the answer; nothing is kept"),
    "list": ("", "all that is known, with numbers"),
    "undo": ("[NUMBER]", "take back the last answer, or one from the list; later ones stay"),
    "change": ("NUMBER", "answer one from the list again"),
    "say": ("WORDS", "tell something of your own accord, in your words"),
    "note": ("WORDS", "keep a remark with the last answer"),
    "engine": ("cold, warm, hot, away", "say how the engine stands now"),
    "vehicle": ("FIELD VALUE", "say what the vehicle is or has, such as: vehicle fuel diesel"),
    "result": ("[full]", "the assessment as it stands"),
    "more": ("", "go on after the decision"),
    "finish": ("", "stop asking and give the decision now"),
    "save": ("", "save and leave; the session can be gone on with later"),
}
BARE = tuple(w for w, (after, _) in WORDS.items() if not after or after.startswith("["))


def command(text: str, free: bool = False) -> tuple[str, str] | None:
    """The command word and what follows it; None where the line is an answer. `free`: the prompt takes free text, so that only a
    word that stands alone is a command.

    >>> command("undo 3"), command("yes"), command("list of leaks", free=True)
    (('undo', '3'), None, None)
    """
    word, _, rest = text.strip().partition(" ")
    word = word.lower().lstrip("/")
    if word not in WORDS:
        return None
    if free and rest and word not in ("note", "undo", "engine", "vehicle"):
        return None
    return word, rest.strip()
