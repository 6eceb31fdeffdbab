"""The water phase: ions, chelators, acids and preservatives."""
