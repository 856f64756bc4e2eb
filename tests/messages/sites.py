"""The site that the message tests spoil, one line at a time."""

SITE = """\
leastkit: site/1
name: Depot
money:
  currency: EUR
  tax: 21 %
  budget: 2500
zones:
  - id: gate
    distance: 8 m
    width: 6 m
    detail: recognise
    frame_rate: 15 fps
    run: 40 m
  - id: yard
    distance: 20 m
    width: 12 m
    detail: 40 px/m
    frame_rate: 10 fps
    run: 55 m
    existing:
      - medium: category
        length: 60 m
        gauge: 24 AWG
        fit: cat6
recording:
  retention: 31 days
audio:
  points:
    - id: desk
      zone: gate
      run: 0 m
owned:
  - item: old-camera
    quantity: 2
policy:
  families: [network]
  forbid: [old-dome]
"""
# Lines: money 3-6, gate 8-13, yard 14-24 (existing 20-24), recording 25-26, audio 27-31,
# owned 32-34, policy 35-37.
