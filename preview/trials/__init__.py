"""Grinds tried before the steel is gone: what each shows, their order, their pictures."""
