"""The words, several in a row, that turn a saying round, weaken it or take it back; `scope` says how far each reaches."""

from __future__ import annotations

# kind -> sayings, separated by commas
_TABLE = {
    "none": (
        "not only, not just, no doubt, without fail, no matter, nothing but, no wonder, no sooner, without doubt, never fails to, "
        "didn't used to, didnt used to, never used to, didn't use to, can't help, no more than, to nothing, from nothing, nothing "
        "wrong, nothing else, no change, no problem, no problems, no issues, not far off, not long, nothing more than, no end of, never "
        "mind, no longer than, not bad, no joy, no good, not great, in no time, not good, no thanks, doesn't fail to, don't fail to, "
        "didn't fail to, doesnt fail to, never failed, never fails"
    ),
    "hedge": (
        "not sure, not certain, can't be sure, hard to tell, hard to say, can't tell, couldn't tell, could be wrong, not a hundred "
        "percent, not 100, can't say for sure, wouldn't swear, can't really tell, not really sure, not entirely sure, not too sure, not "
        "quite sure, i think, maybe, may be, perhaps, possibly, probably, might, may, could be, could have, could possibly, i guess, i "
        "suspect, suspect, i suppose, i believe, reckon, reckons, thinks, seems, seem, seemed, appears to, appear to, apparently, "
        "supposedly, wonder if, wondering if, i fancy, as far as i know, unsure, potentially, i assume, presumably, if i'm not "
        "mistaken, i could have sworn, hardly any, barely any, thought i, i thought, suspected, possible, as if, not always, sort of, "
        "kind of, looks like it might, a hint of, almost like, i'd say, think it's, swear i, could swear, not convinced, not positive, "
        "more or less, hard to be sure, if i remember right, i imagine, imagine, mightve, might've, could just be, not sure if, not "
        "sure whether, ish maybe, i'm guessing, im guessing, guessing, we think, she thinks, he thinks, looks as though, almost boiled, "
        "almost overheated, nearly boiled, nearly overheated, seemed to, a suspicion, i wonder, not sure but"
    ),
    "deny": ("don't think, dont think, don't believe, don't reckon, doesn't seem, doesn't appear, didn't seem, doesnt seem, don't seem"),
    "unknown": (
        "don't know, dont know, no idea, not known, do not know, couldn't say, can't remember, don't remember, never noticed if, "
        "haven't noticed if, haven't noticed whether, doesn't know, unknown, can't tell if, can't tell whether, couldn't tell if, "
        "couldn't tell you, can't tell you, cant tell you, couldnt tell you, no clue, not a clue, haven't a clue, never paid attention"
    ),
    "unlooked": (
        "haven't checked, havent checked, not checked, didn't check, haven't looked, havent looked, never looked, not looked, didn't "
        "look, never checked, yet to check, still to check, not yet checked, hasn't been checked, not been checked, haven't tested, "
        "couldn't check, can't check, not tested, have not checked, haven't had a look, not had a look, not had the chance, didn't "
        "think to"
    ),
    "past": ("used to, previously, formerly"),
    "fear": (
        "in case, what if, worried it might, worried it will, afraid it, don't want it, check for, check if, check whether, scared it, "
        "to see if, stop it from, to prevent, would it, will it, should i, could you check, want to avoid, worried it could"
    ),
    "after": ("any more, anymore, any longer"),
    "ended": (
        "no more, not any more, not anymore, not now, not since, hasn't since, hasnt since, never since, that's cured, is cured, fine "
        "since, ok since, not happened since, hasn't done it since, hasnt done it since, not done it since"
    ),
    "cured": ("cured it, fixed it, sorted it, cured that, fixed that, sorted that, solved it, put it right, put that right"),
    "not": (
        "fixed the, cured the, stopped the, sorted the, solved the, never once, not once, deny that, denies that, denies it, rather "
        "than, as opposed to, instead of the, far from, anything but, free of, free from, clear of, devoid of, failed to, fails to, "
        "refuses to, refused to, refusing to, hardly ever, unable to, lack of, zero sign, yet to, nowhere near, ruled out, absence of"
    ),
}
SAYINGS: tuple[tuple[str, str], ...] = tuple((kind, said.strip()) for kind, listed in _TABLE.items() for said in listed.split(","))
