"""From the plan to what people read: pages, feeds, and the folder they are written to."""
