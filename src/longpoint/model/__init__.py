"""What is stated: works, timber, boards, cloth, hardware, shop, climate, limits. Frozen; nothing derived is stored."""
