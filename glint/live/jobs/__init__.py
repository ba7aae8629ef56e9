"""Files written from the page: each by a process of its own, so that the page stays quick."""
