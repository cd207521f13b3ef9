"""Processing days as they are seen where they are not at home: copied whole, ruled on anywhere, decided at home."""
