"""The rows of the forty International Drum Rudiments, in the order of their sheet.

Source: Percussive Arts Society International Drum Rudiments (the forty): numbers, names, families and stickings as
public lesson texts print them. How sure the rest of a row is: high, found in public texts; medium and low,
from memory, or texts differ.
A row is: number, name, family and group, the right lead in the language's own signs, whether the next time
begins with the other hand, runs of (strokes, grains each), grains of rest after them, grains in all, how sure
the accents and the rhythm are, the rhythm in words, other rhythms in use, and a note.
"""

from __future__ import annotations

from typing import Literal

Sure = Literal["high", "medium", "low"]
Row = tuple[int, str, tuple[str, str], str, bool, tuple[tuple[int, int], ...], int, int, Sure, Sure, str, str, str]

HIGH: Sure = "high"
MEDIUM: Sure = "medium"
LOW: Sure = "low"

SINGLE = ("roll", "single stroke")
BOUNCE = ("roll", "multiple bounce")
DOUBLE = ("roll", "double stroke open")
DIDDLE = ("diddle", "")
FLAM = ("flam", "")
DRAG = ("drag", "")

# N and a number: a note of which so many make a whole note, in grains, 10 080 to the quarter.
N4 = 10_080
N8 = 5_040
N12 = 3_360
N16 = 2_520
N24 = 1_680
N32 = 1_260

# One rudiment is one paragraph: the strokes, the rhythm, the words.
# fmt: off
ROWS: tuple[Row, ...] = (
    (1, "Single Stroke Roll", SINGLE, "RLRL", False, ((4, N16),),
     0, N4, MEDIUM, HIGH, "sixteenths", "any even speed",
     "Shown four strokes long; one cycle is R L. No accents on the sheet, as remembered."),
    (2, "Single Stroke Four", SINGLE, "RLRL", False, ((3, N24), (1, N8)),
     0, N4, LOW, MEDIUM, "16th-note triplet, then an eighth", "8th-note triplet, then a quarter",
     "Stroke 4 falls on the half-beat here. Texts differ on the triplet's size and on an accent on stroke 4."),
    (3, "Single Stroke Seven", SINGLE, "RLRLRLR", True, ((6, N24), (1, N4)),
     0, 2 * N4, LOW, HIGH, "sextuplet, then a quarter", "", "An odd number of strokes, so the lead changes."),
    (4, "Multiple Bounce Roll", BOUNCE, "RzLz", False, ((2, N8),),
     0, N4, MEDIUM, LOW, "unmetered; pulse eighths or sixteenths", "sixteenths",
     "How many bounces a buzz has is not fixed; the pulse is nominal."),
    (5, "Triple Stroke Roll", BOUNCE, "RRRLLL", False, ((6, N12),),
     0, 2 * N4, MEDIUM, MEDIUM, "8th-note triplets", "16th-note triplets",
     "Listed under multiple bounce rolls on the sheet."),
    (6, "Double Stroke Open Roll", DOUBLE, "RRLL", False, ((4, N32),),
     0, N8, MEDIUM, MEDIUM, "32nds (16ths with one slash)", "sixteenths, as a slow exercise", ""),
    (7, "Five Stroke Roll", DOUBLE, "RRLL>R", True, ((4, N32), (1, N8)),
     0, N4, HIGH, HIGH, "four 32nds filling an eighth-note, then an eighth",
     "four 16ths, then a quarter (half the speed)", ""),
    (8, "Six Stroke Roll", DOUBLE, ">RLLRR>L", False, ((1, N16), (4, N32), (1, N16)),
     0, N4, HIGH, LOW, "16th, four 32nds, 16th",
     "eighth, four 32nds, eighth; or six even notes; or eighth, four 16ths, eighth",
     "Accents first and last are in three sources; three rhythms are in print."),
    (9, "Seven Stroke Roll", DOUBLE, "RRLLRR>L", False, ((6, N32), (1, N16)),
     0, N4, HIGH, MEDIUM, "six 32nds (dotted-eighth roll), then a 16th",
     "six 16th-triplet notes, then a release",
     "Ends on the other hand, so the lead stays. Once played from the left only, ending on the right."),
    (10, "Nine Stroke Roll", DOUBLE, "RRLLRRLL>R", True, ((8, N32), (1, N4)),
     0, 2 * N4, HIGH, HIGH, "eight 32nds (a quarter-note roll), then a quarter",
     "eight 16ths, then a quarter; eight 32nds, then an eighth", ""),
    (11, "Ten Stroke Roll", DOUBLE, "RRLLRRLL>R>L", False, ((8, N32), (2, N16)),
     N8, 2 * N4, HIGH, MEDIUM, "eight 32nds, then two 16ths", "",
     "Two accented singles at the end; fills two beats with an eighth rest."),
    (12, "Eleven Stroke Roll", DOUBLE, "RRLLRRLLRR>L", False, ((10, N32), (1, 3 * N16)),
     0, 2 * N4, HIGH, LOW, "ten 32nds, then a release", "",
     "The length of the release is from memory: it fills two beats."),
    (13, "Thirteen Stroke Roll", DOUBLE, "RRLLRRLLRRLL>R", True, ((12, N32), (1, N8)),
     0, 2 * N4, HIGH, MEDIUM, "twelve 32nds (dotted-quarter roll), then an eighth",
     "twelve 16th-triplet notes over two beats, then a release", ""),
    (14, "Fifteen Stroke Roll", DOUBLE, "RRLLRRLLRRLLRR>L", False, ((14, N32), (1, N16)),
     0, 2 * N4, HIGH, LOW, "fourteen 32nds, then a 16th", "",
     "The length of the release is from memory: it fills two beats."),
    (15, "Seventeen Stroke Roll", DOUBLE, "RRLLRRLLRRLLRRLL>R", True, ((16, N32), (1, N4)),
     0, 3 * N4, HIGH, MEDIUM, "sixteen 32nds (half-note roll), then a quarter", "", ""),
    (16, "Single Paradiddle", DIDDLE, ">RLRR", True, ((4, N16),),
     0, N4, HIGH, HIGH, "sixteenths", "", ""),
    (17, "Double Paradiddle", DIDDLE, ">RLRLRR", True, ((6, N24),),
     0, N4, LOW, MEDIUM, "16th-note triplets (a sextuplet)", "sixteenths in 6/8",
     "Whether stroke 3 is accented too varies between printed sheets (from memory)."),
    (18, "Triple Paradiddle", DIDDLE, ">RLRLRLRR", True, ((8, N16),),
     0, 2 * N4, LOW, HIGH, "sixteenths", "",
     "Whether strokes 3 and 5 are accented too varies between printed sheets (from memory)."),
    (19, "Single Paradiddle-Diddle", DIDDLE, ">RLRRLL", False, ((6, N24),),
     0, N4, HIGH, MEDIUM, "16th-note triplets (a sextuplet)", "sixteenths in 6/8",
     "An even number of strokes that ends on the second hand: the lead stays."),
    (20, "Flam", FLAM, "lR", True, ((1, N4),),
     0, N4, MEDIUM, HIGH, "quarters", "", ""),
    (21, "Flam Accent", FLAM, ">lRLR", True, ((3, N12),),
     0, N4, HIGH, HIGH, "8th-note triplet", "eighths in 6/8", ""),
    (22, "Flam Tap", FLAM, ">lRR", True, ((2, N8),),
     0, N4, HIGH, MEDIUM, "eighths", "sixteenths", ""),
    (23, "Flamacue", FLAM, "lR>LRLlR", True, ((4, N16), (1, N4)),
     0, 2 * N4, HIGH, HIGH, "four 16ths, then a quarter", "",
     "Five strokes that begin and end with one hand; played hand to hand it alternates."),
    (24, "Flam Paradiddle", FLAM, ">lRLRR", True, ((4, N16),),
     0, N4, MEDIUM, HIGH, "sixteenths", "", ""),
    (25, "Single Flammed Mill", FLAM, ">lRRLR", True, ((4, N16),),
     0, N4, MEDIUM, HIGH, "sixteenths", "", ""),
    (26, "Flam Paradiddle-Diddle", FLAM, ">lRLRRLL", True, ((6, N24),),
     0, N4, MEDIUM, MEDIUM, "16th-note triplets (a sextuplet)", "8th-note triplets; sixteenths in 6/8",
     "One lesson text says that the lead stays; the sheet alternates, unlike number 19."),
    (27, "Pataflafla", FLAM, ">lRLR>rL", False, ((4, N16),),
     0, N4, HIGH, HIGH, "sixteenths", "", "Flams on strokes 1 and 4: two flams meet across the repeat."),
    (28, "Swiss Army Triplet", FLAM, ">lRRL", False, ((3, N12),),
     0, N4, MEDIUM, HIGH, "8th-note triplets", "16th-note triplets",
     "The lead stays; a flam accent with another sticking."),
    (29, "Inverted Flam Tap", FLAM, ">lRL", True, ((2, N16),),
     0, N8, HIGH, MEDIUM, "sixteenths", "eighths",
     "The tap before each flam is on the hand that plays the flam's main stroke."),
    (30, "Flam Drag", FLAM, ">lRLLR", True, ((1, N12), (2, N24), (1, N12)),
     0, N4, MEDIUM, HIGH, "8th-note triplet whose middle note is a double (two 16ths of the triplet)", "",
     ""),
    (31, "Drag", DRAG, "llR", True, ((1, N4),),
     0, N4, MEDIUM, HIGH, "quarters", "", ""),
    (32, "Single Drag Tap", DRAG, "llR>L", True, ((2, N8),),
     0, N4, HIGH, HIGH, "eighths", "sixteenths; a triplet", ""),
    (33, "Double Drag Tap", DRAG, "llRllR>L", True, ((3, N8),),
     0, 3 * N8, MEDIUM, MEDIUM, "eighths in 6/8", "8th-note triplets", ""),
    (34, "Lesson 25", DRAG, "llRL>R", False, ((2, N16), (1, N8)),
     0, N4, HIGH, HIGH, "two 16ths and an eighth", "", ""),
    (35, "Single Dragadiddle", DRAG, ">RRLRR", True, ((2, N32), (3, N16)),
     0, N4, MEDIUM, HIGH, "two 32nds, three 16ths", "",
     "A single paradiddle with its first sixteenth doubled; the accent is on the first of the double."),
    (36, "Drag Paradiddle #1", DRAG, ">RllRLRR", True, ((1, N8), (4, N16)),
     0, 3 * N8, MEDIUM, HIGH, "eighth, four 16ths (3/8 or 6/8)", "", ""),
    (37, "Drag Paradiddle #2", DRAG, ">RllRllRLRR", True, ((2, N8), (4, N16)),
     0, 2 * N4, MEDIUM, MEDIUM, "two eighths, four 16ths", "", ""),
    (38, "Single Ratamacue", DRAG, "llRLR>L", True, ((3, N24), (1, N8)),
     0, N4, HIGH, HIGH, "16th-note triplet, then an eighth", "8th-note triplet, then a quarter", ""),
    (39, "Double Ratamacue", DRAG, "llRllRLR>L", True, ((1, N8), (3, N24), (1, N8)),
     0, 3 * N8, MEDIUM, MEDIUM, "eighth, 16th-note triplet, eighth", "", ""),
    (40, "Triple Ratamacue", DRAG, "llRllRllRLR>L", True, ((2, N8), (3, N24), (1, N8)),
     0, 2 * N4, MEDIUM, MEDIUM, "two eighths, 16th-note triplet, eighth", "", ""),
)
# fmt: on
