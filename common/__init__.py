"""Plain package under every app: errors, clock, ids, words and the API's habits; holds no models and knows no app."""
