"""Runs the steps on the connection it is handed; the caller opens and commits the transaction."""

from alembic import context

from printcrib.storage.tables import Books

for _table in Books.metadata.tables.values():
    for _index in _table.indexes:
        _only = _index.dialect_options["sqlite"]["where"]
        _index.dialect_options["postgresql"]["where"] = _only

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=Books.metadata,
    compare_type=True,
    render_as_batch=True,
    transactional_ddl=True,
)
context.run_migrations()
