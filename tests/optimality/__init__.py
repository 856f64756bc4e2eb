"""Second and third opinions on the optimum: HiGHS, brute force and sums by hand."""
