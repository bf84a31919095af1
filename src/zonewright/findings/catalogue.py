"""Every code of a finding that is no rule of `check`: what it says is wrong, and what to do.

Rules of this file:
1. A code is never used again for something else. A test holds the table to the code: none missing, none too many.
2. A finding itself says more: which thing, where, and what to write instead. This is the page to look it up in.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple


class CodeMeaning(NamedTuple):
    """What the findings of a code have in common."""

    topic: str
    title: str
    fix: str


def _all(topic: str, rows: Mapping[str, tuple[str, str]]) -> dict[str, CodeMeaning]:
    return {code: CodeMeaning(topic, title, fix) for code, (title, fix) in rows.items()}


CODES: Mapping[str, CodeMeaning] = {
    **_all(
        "reading a file",
        {
            "READ-EMPTY": ("Nothing is written in the file", "begin one with zonewright new"),
            "READ-FIELD": ("A field has a name that isn't known here", "write the name that is offered"),
            "READ-FILE": ("A file isn't there or can't be read", "look at its name and its rights"),
            "READ-FORM": ("The text isn't written as such files are", "write plain names, lists and values"),
            "READ-HIDDEN": ("A sign stands there that nobody sees", "delete it and type the word again"),
            "READ-MISSING": ("A field is missing", "add it"),
            "READ-MORE": ("There are more mistakes than are listed", "mend these first"),
            "READ-OUT": ("A name leads out of the site's folder", "copy the file there, or allow names that lead out"),
            "READ-SIZE": ("The file is larger or deeper than is read", "look whether it is the right file"),
            "READ-SYNTAX": ("A line can't be read", "mend the indent, the colon or the quotes at its place"),
            "READ-TWICE": ("A name stands twice", "keep one of the two"),
            "READ-VALUE": ("A value isn't what its field takes", "write one of the values that are offered"),
        },
    ),
    **_all(
        "site file",
        {
            "SITE-ACCEPT": ("An acceptance names a thing that the site hasn't", "write the name as it stands there"),
            "SITE-AREA": ("An area isn't known, or none is named", "name an area that stands under areas"),
            "SITE-DAY": ("Something is dated after the file", "set dated to the day of the last change"),
            "SITE-DEVICE": ("A device is written in a way that can't be", "write its zone or its inputs once"),
            "SITE-MUST": ("A statement of the owner can't be read", "write it as the page of the site file shows"),
            "SITE-NAME": ("Two things have one name", "rename one of them"),
            "SITE-NUMBER": ("A number is given twice, or is none", "give each its own, from 1 on"),
            "SITE-PAIR": ("The partner of a pair isn't known, or isn't the only one", "name one device or input"),
            "SITE-REMOTE": ("A remote is carried by nobody who is known", "name a person that stands under people"),
            "SITE-ROUTE": ("A route leads over something that isn't known", "name doors and sensors of the site"),
            "ACC-01": ("An acceptance names a rule that there isn't", "write the code that the finding shows"),
            "ACC-02": ("An acceptance meets no finding any more", "take it out, since it may hide the next one"),
            "PLAN-01": ("The plan can't be right", "mend the plan at its place"),
            "CSV-01": ("A line of the schedule can't be taken over", "mend the cell"),
            "CSV-02": ("A field of the schedule has no column", "say which column holds it"),
            "SCN-01": ("A line of the scenario can't be read", "write it in one of the forms that play lists"),
            "DIA-01": ("An observation names something that isn't known", "write one of the words that are offered"),
            "DIA-02": ("An observation can't be read", "write what was done, a colon, and what was noticed"),
        },
    ),
    **_all(
        "what the panel can take",
        {
            "PAN-01": ("The site has more areas than the panel", "join areas, or choose another panel"),
            "PAN-02": ("On this panel the setting has a fixed value", "leave it out, or write that value"),
            "PAN-03": ("The panel has no such setting", "take it out of the site file"),
            "PAN-04": ("The panel can't take the value of a setting", "write one that it has"),
            "PAN-05": ("A setting is about a station, and there is none", "add the station, or take it out"),
            "PAN-06": ("A zone's number is beyond the panel", "give it a free number within the panel's limit"),
            "PAN-07": ("The panel asks for a field that a site file hasn't", "mend the profile"),
            "PAN-08": ("The panel can't do what a zone or a person asks for", "take the field out"),
            "PAN-09": ("The panel knows no such kind of device", "write a kind that it knows, or leave the device out"),
            "PAN-10": ("A kind of device has no such input", "name one of the inputs that it has"),
            "PAN-11": ("A radio device has no number", "copy it from the label"),
            "PAN-12": ("A printed number can't be right", "read the label again"),
            "PAN-13": ("Two devices have one transmitter number", "read both labels again"),
            "PAN-14": ("There are more people than the panel has slots for", "take somebody out"),
            "PAN-15": ("A field has no meaning here: the panel asks for it only with another one", "take it out"),
            "PAN-16": ("A field has a value that the panel doesn't offer", "write one that it offers"),
            "PAN-17": ("There are more remotes than the panel takes", "take one out, or choose a panel with more"),
            "PAN-18": ("A zone is to confirm itself", "name another zone"),
        },
    ),
    **_all(
        "panel profile",
        {
            "PRO-00": ("There is no such profile", "name one that comes with Zonewright, or the path of a file"),
            "PRO-01": ("A node leads to one that isn't there", "name a node that stands in the script"),
            "PRO-02": ("A node is about an item that isn't there", "name an item that stands under items"),
            "PRO-03": ("The script has too many states to be walked", "use fewer conditions at once"),
            "PRO-04": ("An item is asked where it doesn't exist", "go round it, or mend the item's when"),
            "PRO-05": ("An item is asked twice before it is saved", "ask it once, or save it in between"),
            "PRO-06": ("A node saves without ever asking for an item", "ask for it before, or mend the item's when"),
            "PRO-07": ("A node leads nowhere", "end it with an else"),
            "PRO-08": ("A way on can never be taken", "mend the conditions before it, or take it out"),
            "PRO-09": ("A node can never be reached", "let some node go there, or take it out"),
            "PRO-10": ("An item is never asked and never shown", "ask it in the script, or take it out"),
            "PRO-11": ("From a node no key leads back to rest", "give it a back"),
            "PRO-12": ("What a node takes is lost on every way on", "lead it to a node that saves"),
            "PRO-13": ("An answer isn't in the profile", "name one that stands under answers"),
            "PRO-14": ("An item has no answer", "say how it is answered, or that it is only shown"),
            "PRO-15": ("An item has a condition, and no value where it isn't met", "add otherwise"),
            "PRO-16": ("An item is shipped as a value that its answer never gives", "write one that it gives"),
            "PRO-17": ("A condition asks for an item that isn't there", "name an item that stands under items"),
            "PRO-18": ("A condition asks for a value that never is", "write a value that the item can have"),
            "PRO-20": ("An answer lacks a field that its style needs", "add it"),
            "PRO-21": ("Codes have several lengths, so that their ends can't be told", "give all one length"),
            "PRO-22": ("Two words share a code", "give each word a code of its own"),
            "PRO-23": ("A code of a word isn't digits", "write digits"),
            "PRO-24": ("A key stands twice on the keypad", "write each key once"),
            "PRO-25": ("The keypad has no such key", "name a key of keys: rows"),
            "PRO-26": ("One key does two things at a node", "give one of them another key"),
            "PRO-27": ("One way in begins another, which then can't be keyed", "change one of them"),
            "PRO-28": ("A text is longer than the display", "shorten it as the panel does"),
            "PRO-29": ("Two choices or entries look the same", "write what tells them apart"),
            "PRO-30": ("Choices and codes don't match", "give each choice one code"),
            "PRO-31": ("A sign stands on two keys", "give each sign one place"),
            "PRO-32": ("Two blocks of places meet, or one has items of two groups", "make a block of each"),
            "PRO-33": ("Two places are opened by one pair of letters", "give each place a pair of its own"),
            "PRO-34": ("A node is scrolled, and no keys are named for that", "add scrolling"),
            "PRO-35": ("A list hides an entry whose item exists", "mend the entry's when, or the item's"),
            "PRO-36": ("A number is beyond what a panel can have", "write what the panel has"),
            "PRO-37": ("The range of an answer can't be", "write the lower end first, and the digits it needs"),
            "PRO-38": ("The keypad's rest or an item's name isn't written as it must be", "write it as the page shows"),
            "PRO-39": ("An answer has another style than its node needs", "name another answer"),
            "PRO-40": ("Digits of a label are named that it hasn't", "mend the places, or the length of the label"),
            "PRO-41": ("A fixed value is nothing that the panel model reads", "write what the panel does"),
            "PRO-43": (
                "An item's answer doesn't give what the panel model reads",
                "add the unit, or name the choices so",
            ),
            "PRO-45": ("A setting has nearly the name of one that the model reads", "write that name"),
            "PRO-44": ("A behaviour has the name that an older edition gave it", "write its name of today"),
            "TRY-01": ("A transcript leads back to itself", "name another transcript"),
            "TRY-02": ("A line of a transcript has no arrow", "write KEYS -> what each line of the display shows"),
            "TRY-03": ("A line tells more or fewer lines than the display has", "part the lines by |"),
            "TRY-04": ("A trip has no number", "write trip and the digits of the device"),
            "TRY-05": ("The keypad has no such key", "write a key of the profile"),
            "TRY-10": ("The virtual keypad shows something else", "look at the panel; mend the line or the profile"),
        },
    ),
    **_all(
        "readback",
        {
            "RBK-01": ("The file is of another version", "read it with the Zonewright that wrote it"),
            "RBK-02": ("The file is of another panel", "name that panel, or another file"),
            "RBK-03": ("The panel holds no such item", "write one that it has, or take the line out"),
            "RBK-04": ("The panel can't hold such a value", "look again at the panel, or write that it isn't known"),
            "RBK-05": ("Two lines exclude each other", "take the line out, or mend the other"),
            "RBK-06": ("The panel numbers nothing of this name", "write one of the names that are offered"),
            "RBK-07": ("A file stands there that is no readback", "name another file"),
            "RBK-09": ("A readback is given where a site file is wanted", "begin a site file from it"),
            "RBK-08": ("What was read can't be so at once", "look again at the panel"),
        },
    ),
    **_all(
        "keying",
        {
            "ENT-01": ("The keypad can't be brought to hold it", "change the site file, or the profile if it is wrong"),
            "ENT-02": ("There can't be a householder's page for it", "key it yourself, with the whole sheet"),
            "ENT-04": ("Nobody said that all of a group were read", "say so in the readback"),
        },
    ),
    **_all(
        "writing files",
        {
            "SAVE-01": ("A file stands there already", "name another, or let it be written over"),
            "SAVE-02": ("The name is that of a folder, or of no plain file", "give the name of a file"),
            "SAVE-03": ("It can't be written there", "write to another folder or disk"),
            "SAVE-04": ("It would be written over what was read", "choose another name"),
            "SAVE-05": ("Two files would be written to one place", "choose another name"),
            "PRN-01": ("A letter can't be printed", "write the name with letters that the typeface has"),
            "DEM-01": ("No folder is free for the demo", "name another folder"),
            "DEM-02": ("The demo can't be written there", "name a folder that you may write to"),
            "DEM-03": ("The demo needs a folder with a name", "name one, such as demo"),
        },
    ),
    **_all(
        "use of a verb",
        {
            "USE-01": ("There is no such rule or code", "zonewright rules lists them all"),
            "USE-02": ("The site has no such zone, device or label", "write a zone's number or its device's name"),
            "USE-03": ("The verb can't work with what it was given", "give it what its help asks for"),
            "USE-04": ("The lines can't be read", "look at the file's name, rights and length"),
            "USE-05": ("A mapping of columns maps nothing", "write --map FIELD=COLUMN"),
            "USE-06": ("What a readback says already was given again", "leave out one of the two"),
            "USE-07": ("Two options say what the panel holds now", "leave one of the two out"),
            "USE-08": ("The older file is for another panel", "name an older file of the same panel"),
        },
    ),
}

ADVICE = frozenset({"ACC-02", "SITE-DAY"})  # to be looked at; all others must be mended
