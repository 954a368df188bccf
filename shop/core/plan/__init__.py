"""Planning: who does what, on which station, when. Knows nothing of timber.

Doors: `problem` says what is to be planned and `schedule` what a plan is; `planner.plan` makes one;
`check.check` says which rules a plan breaks, sharing no code with the planner. Behind them:
`refuse` (with `circle` and `room`) turns away what cannot be planned, and `conflict` names the
fewest demands that cannot all hold; `floor` lays the problem out in ticks on working `hours`, with
what a hand can share between two tasks (`minding`) and when pieces are away (`trips`); `rules` feed
`dispatch`, which makes the first plans; `exact` (with `model` and `limits`), `search` and `span`
better them; `measure` says what they are worth. `prices` says what an owner measures; `overtime`
where a plan works beyond the regular hours. `again.put_again` puts a known plan together again for
a shop that has changed, and what is new into the room that is left; `reasons.changes` says what a
new plan moves and why; `promise.promises` says when each order is really done, and how sure that
is. `scarcity` says which hands a search should spare, `levels` how far an order is from a day less
late. The inner loop of `search` is `kernel`, which `tables` feed; where only the makespan of plain
stations counts, `span` searches instead, and its inner loop is `critical`. `compiled` makes both
fast, and both go in two `lanes`.
"""
