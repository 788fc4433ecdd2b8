"""``washlore review`` behind the command: answers in, judged once each, marks and feedback out."""
