"""Stories of the four users, through HTTP, no mocks."""
