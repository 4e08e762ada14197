"""What a workshop keeps for ten years: cars, builds, every edit, revisions, own parts, people, attachments and settings."""
