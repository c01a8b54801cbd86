"""Which copies run together, on which printer, with which nozzle, in which order.

`problem` says what there is to plan, `decoder` turns a plan into times and cost (the one truth), `rules`
makes plans, `why` explains them.
"""
