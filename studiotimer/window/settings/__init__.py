"""What a crew chooses and what is kept between sessions."""
