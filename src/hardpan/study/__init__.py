"""The study: are the odds honest, and what are they worth? Many simulated streets, each with a truth that the plan never sees.

- ``natures``: what the ground, the eye and the mix may do: as the plan assumes, and three ways in which it is wrong
- ``simulated``: one street of our own making: its ground, the words of its slow drive, its tests
- ``truth``: what then happens under the axle, place by place, by the laws themselves
- ``decided``: the steps of the plan that odds need, and how each zone turned out
- ``rules``: the same street treated by the plan, by eye, and at one rate everywhere: cement, money, failed metres
- ``scoring``: stated odds against what happened: bins, bands, slope, Brier's score
- ``runner``: many streets in processes, kept line by line so that a stopped study goes on
- ``report``: the figures of a study, as tables and as JSON
- ``sheet``: the same as a PDF, one page a nature
- ``command``: ``hardpan study``

A simulator shows whether the sums agree with their own assumptions and how far they bend when these are wrong; it cannot show
that the assumptions hold on a street.
"""
