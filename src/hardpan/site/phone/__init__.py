"""The phone: the day in taps, with no signal too; its queue of entries and the worker that keeps its pages."""
