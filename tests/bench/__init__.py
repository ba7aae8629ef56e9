"""The benchmark: how long glint takes, as ratios measured in one run against a peer.

    python -m tests.bench            the whole table, some minutes
    python -m tests.bench --quick    smaller, in under a minute
    python -m tests.bench --row loop

Every row is a file here with a `measure(quick)` that yields figures; `figures` has what they share.
"""
