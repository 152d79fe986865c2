"""The fitting of fruit to days and jars, which knows of means and goals and of no household."""
