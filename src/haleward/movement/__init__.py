"""Movement: skeleton, library, ladder, loads and bands."""
