"""Scans: pictures and PDFs of papers, read with care, made plain, and kept for a short time."""
