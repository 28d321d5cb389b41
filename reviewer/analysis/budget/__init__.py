"""The load budget: what each phase asks of the sources, how long batteries last once the alternator is gone, what drains them in the hangar."""
