"""Study: what a phrase asks of the limbs, and what was played. Names that end in … begin those of several modules.

* `top_tempo`: `moments` (when each limb strikes where) and `demands` (what it needs between them, by `reach`), from
  which `figures` and `concerns` are told; `words` says them, `crossing` tells crossed hands.
* `vary`: what is wished (`wish`); of each bar the `playings`, what its `parts` say, its `material` (with its figures,
  by `grouping`) and `surroundings`; the `cost`. From these `builder` makes a `puzzle`, solved `by_rule` (`maps`,
  `feet`) or `by_stroke`; `arrangements` has several bars together (`seams`, `combining`), written as phrase files
  (`rewriting`) with words (`telling`). `stickings` begin elsewhere; `refusing` says why there is nothing.
* `transcribe` and ``transcribe_…``: the click left out, the tempo; gestures on beats, their swing, grid and levels; the
  likeliest hands (costs, path); notes, rudiments; the phrase file and its text.
* `assess` and ``assess_…``: what was meant, aligning it with a take whose pulse is followed, how many turns that has,
  matching; its figures, words and values.
* `lesson` and ``lesson_…``: material on its ground, steps and fills, tempos; draft, making and files.
* `learn`: a kit from strokes on its pads. `arrays`: the types of all arrays here.
"""
