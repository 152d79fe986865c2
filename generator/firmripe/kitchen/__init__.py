"""The kitchen: which lot is put up on which day, in which jar, and by how many hands."""
