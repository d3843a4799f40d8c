"""Clearances as given, bars that came since, who is notified of a change. Not the judgement: the rules make it."""
