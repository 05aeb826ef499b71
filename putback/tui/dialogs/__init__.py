"""Questions, prompts, lists and sheets that any screen can put over itself."""
