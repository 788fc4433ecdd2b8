"""The rules that judge a workup somebody else wrote: one file for each family, found by scanning."""
