"""From takeoffs to what is bought: items, needs, packs at the least cost."""
