"""The tables themselves, one CSV file for each kind of row; ``washlore.knowledge.rows`` reads them."""
