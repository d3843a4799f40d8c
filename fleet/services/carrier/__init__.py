"""Writes about the carrier: sites, policies, on-call shifts, founding. Not its documents."""
