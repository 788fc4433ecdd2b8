"""The rules, one file for each family. Every rule found in these files takes part; there is no list to keep."""
