"""The web application: a thin shell over the same calls as the command line, and the store of streets and ledgers.

A feature is a folder. In the order in which they may import one another: ``accounts`` (companies and their people), ``streets`` (folders kept byte for
byte), ``join`` (a crew's way in), ``entries`` (the ledger's store), ``photos``, ``api``. Beside them: ``settings``, ``roles`` (who may do what: one
table), ``guard`` (the one place that asks it).
"""
