"""The pages: each kind with its making and the views that its template sees."""
