"""How a demand runs over a year where nobody logged it: the mean of many customers of one kind."""
