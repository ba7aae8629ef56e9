"""Which shape, hung where, lit from where: measures, comparison, search."""
