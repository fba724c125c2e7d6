"""What is said to a customer, by which way it goes out, and the shop's calendar."""
