"""What is asked, feared, wished or told of another vehicle is not an observation: "is it the head gasket?", "if it boils I will stop"."""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.intake.words.scope import Cue
from diagnose.intake.words.tokens import Clause, Token
from diagnose.intake.words.wordlist import words

_OPENERS = words("so and but or also please hi hello ok well just then like um")
_ASKING = words(
    "is are isn't aren't does do did has have could can would will should might was were shall am which where who does'nt doesn't "
    "wouldn't couldn't"
)
# "Is it normal that ...?" is said of what somebody sees
_SEEN = words("normal usual ok okay safe right bad common supposed meant serious dangerous alright harmful unusual")
# said without a question mark
_PLAIN: tuple[tuple[str, ...], ...] = tuple(
    tuple(said.split())
    for said in (
        "how often", "how much", "how many", "how long does", "how long should", "how do i", "how do you", "what would", "what happens if",
        "any chance", "could it be", "can it be", "would it be", "should i", "do i need", "do i have to", "can i", "can you", "could you",
        "would you", "will you", "do you", "would it", "will it", "want to know if", "want to know whether", "want to know how",
        "wants to know if", "wants to know whether", "wants to know how", "asking if", "asking whether", "asks if", "asks whether",
        "wondering if", "wondered if", "wondering whether", "ask you to", "like you to", "want you to", "need you to", "please can",
        "let me know if", "tell me if", "call me if", "ring me if", "keep an eye", "look out for", "look for", "watch for", "see whether",
        "see if", "make sure", "to stop it", "to avoid", "so it doesn't", "so it won't", "so that it doesn't", "hope it", "hoping it",
        "book it in for", "booked in for", "quote for", "price for", "cost of", "before it", "should it", "were it to", "had it been",
        "would have", "would've", "thinking of", "planning to", "going to have", "want to", "wants to", "need to", "how to", "due for",
        "is due a", "about to",
    )
)  # fmt: skip
_KEEPS = words("because as since why given though")  # what stands after these is told, not asked
_MINE = words("i i'll we we'll i'd we'd you you'll")
_WILL = words("will i'll we'll you'll would i'd we'd shall should can could stop call ring pull please wouldn't won't")
_MEANS = words("it's its that's thats means")
_A_CAUSE = words("the a an your usually always probably")
_WOULD = words("would it'd i'd would've wouldn't")
_OWNERS = words(
    "mate's friend's neighbour's neighbor's brother's colleague's workmate's mates friends neighbours neighbors brothers uncle's cousin's"
)
_CARS = words("car van truck one motor")
_FORMER = words("last old previous other")
# "my uncle's pickup did that, mine never has": only where "mine" is told apart from it
_KIN = words(
    "wife's husband's son's daughter's dad's mum's mom's boss's father's mother's uncle's sister's brother's girlfriend's boyfriend's"
)
_APART = words("mine mine's ours")


def unsaid(tokens: Sequence[Token], clauses: Sequence[Clause]) -> dict[Clause, tuple[Cue, ...]]:
    """For each clause the stretches in which nothing is claimed to have been seen on this vehicle, as cues of the kind 'fear'."""
    out = {}
    for i, clause in enumerate(clauses):
        last_of_sentence = i + 1 == len(clauses) or clauses[i + 1].sentence != clause.sentence
        found = [_question(tokens, clause, last_of_sentence), _asked(tokens, clause), _elses(tokens, clause), *_supposed(tokens, clause)]
        out[clause] = tuple(c for c in found if c is not None)
    return out


def _fear(first: int, last: int, tokens: Sequence[Token]) -> Cue | None:
    """A stretch that claims nothing, cut short where a reason is told."""
    end = next((i for i in range(first + 1, last) if tokens[i].word in _KEEPS and not _compares(tokens, i)), last)
    return Cue("fear", (first, first + 1), (first, end), tokens[first].word) if first < end else None


def _compares(tokens: Sequence[Token], i: int) -> bool:
    """'as hot as', 'as soon as': no reason."""
    return tokens[i].word == "as" and any(t.word == "as" for t in (*tokens[max(0, i - 3) : i], *tokens[i + 1 : i + 4]))


def _question(tokens: Sequence[Token], clause: Clause, closes: bool) -> Cue | None:
    if not closes or clause.last >= len(tokens) or tokens[clause.last].word != "?":
        return None
    first = clause.first
    while first < clause.last and tokens[first].word in _OPENERS:
        first += 1
    if first >= clause.last or tokens[first].word not in _ASKING:
        return None
    if {t.word for t in tokens[first : first + 5]} & _SEEN:
        return None
    return _fear(first, clause.last, tokens)


def _asked(tokens: Sequence[Token], clause: Clause) -> Cue | None:
    for i in range(clause.first, clause.last):
        for said in _PLAIN:
            if i + len(said) <= clause.last and all(tokens[i + k].word == w for k, w in enumerate(said)):
                opening = {t.word for t in tokens[clause.first : i]} <= _OPENERS
                if said[0] in ("can", "could", "do", "would", "will", "should", "is") and not opening:
                    continue
                if said[0] == "need" and i > clause.first and tokens[i - 1].word not in ("i", "we", "you"):
                    continue
                return _fear(i, clause.last, tokens)
    return None


def _elses(tokens: Sequence[Token], clause: Clause) -> Cue | None:
    """'My last car did that too', 'my mate's van had the same'."""
    apart = any(t.word in _APART for t in tokens)
    for i in range(clause.first, clause.last - 1):
        word, following = tokens[i].word, tokens[i + 1].word
        if word in _KIN and apart:
            end = next((j for j in range(i, clause.last) if tokens[j].word in _APART), clause.last)
            return _fear(i, end, tokens)
        if (word in _FORMER and following in _CARS and i and tokens[i - 1].word in ("my", "our", "his", "her")) or (
            word in _OWNERS and i and tokens[i - 1].word in ("my", "a", "his", "her", "the") and following in (*_CARS, "had", "did")
        ):
            return _fear(i, clause.last, tokens)
    return None


def _supposed(tokens: Sequence[Token], clause: Clause) -> list[Cue | None]:
    """'If it overheats I will stop': the condition is not seen; 'it would boil if ...': nor is what would be."""
    said = [t.word for t in tokens[clause.first : clause.last]]
    if "if" not in said:
        return []
    at = clause.first + said.index("if")
    if tokens[at - 1].word in ("as", "even") and at > clause.first:
        return []
    comma = next((i for i in range(at, clause.last) if tokens[i].word == ","), clause.last)
    main = next((i for i in range(at + 2, clause.last) if tokens[i].word in _MINE and tokens[i - 1].word != "if"), comma)
    for i in range(at + 2, clause.last - 1):  # "if the hose goes hard it's the gasket": a rule that somebody told
        if tokens[i].word in _MEANS and tokens[i + 1].word in _A_CAUSE:
            return [_fear(at, i, tokens)]
    rest = {t.word for t in tokens[min(main, comma) : clause.last]} | {t.word for t in tokens[clause.first : at]}
    out: list[Cue | None] = []
    starts = {t.word for t in tokens[clause.first : at]} <= _OPENERS
    if starts and {t.word for t in tokens[min(main, comma) : clause.last]} & _WILL and {*rest} & (_MINE | _WILL) and main < clause.last:
        out.append(_fear(at, max(main, at + 1), tokens))
    for i in range(clause.first, clause.last):
        if tokens[i].word in _WOULD:
            out.append(_fear(i, clause.last, tokens))
            out.append(_fear(at, clause.last if at > i else comma, tokens))
            break
    return out
