"""Reads about orders with their tasks, labor and outside work: lists, allowed actions, exports, audit gaps."""
