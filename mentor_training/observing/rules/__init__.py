"""What an observation comes to, when a skill is ready, and who may see and sign off whom; pure."""
