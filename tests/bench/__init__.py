"""The benchmark: how long glint takes, as ratios measured in one run against a peer.

    python -m tests.bench                     the whole table, under 20 minutes
    python -m tests.bench --quick             smaller, in under a minute
    python -m tests.bench --row loop          some rows only
    python -m tests.bench --write bench.md    kept as Markdown too
    python -m tests.bench --quote FILE.md     what has a bar put into that document
    python -m tests.bench --profile           where the time of stills and loops goes
    python -m tests.bench --plots FOLDER      how time grows, as a picture

Every row is a file here with a `measure(quick)` that yields figures; `figures` has what they share.
"""
