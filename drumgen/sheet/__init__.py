"""Paper: phrases as MusicXML and engraved sheets.

* A phrase becomes a `score` (by `writing`): `lines` of notes cut into `cells`, spelled in `values`, with `beams`,
  `heads` and letters (`lettering`); equal bars are folded (`repeats`); `directions` stand over and under them.
* A score becomes `musicxml`, by `musicxml_notes` and `musicxml_directions`, its ids by `naming`, its elements by `xml`.
* verovio draws that line by line (`engraving`, with `line_breaks`). What it draws becomes `ink` (by `inking`, with
  `letter_rows`), kept clear of itself (`clearing`, `mending`, by `boxes`); signs are outlines of `glyphs`.
* `sheets` set lines and their `heading` (with `signs`) on pages; `rendering` gives them as `svg`, `pdf` (by `fonts`,
  `outlines`) and `png`, as `printing` says. `strips` are lines for a web page. `text_width` and `numerals` serve all.
"""
