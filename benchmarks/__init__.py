"""How long the search takes, beside a general solver on the plain program."""
