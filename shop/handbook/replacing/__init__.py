"""One part in another's place: capacitor for capacitor, device for device.

Sources
    Named in each module.
"""
