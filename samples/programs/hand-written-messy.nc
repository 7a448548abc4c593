o77 (lever - second side)
(typed at the machine)
g20 g90 g17
t1 m6 (1/2 carbide end mill)
g0 g54 x-.5 y-.3
g43 h1 z1.
s2800 m3
m8
z-.25
g1 x3. f18
y1.2
x-.5
g0 z1.
t2m6 (letter F drill hss)
g0 x.5 y.5
g43 h3 z1.
s900 m3
g83 z-1.6 r.1 q.1 f5.
x1.25 y-.5..2
x2.
g80
m73
t3 m6 (5/16-18 tap)
g0 x.5 y.5
g43 h3 z1. m8
s250 m3
g84 z-1.2 r.2 f13.9
x2.
g80
m7
m9
g0 z1. (up (clear of clamp))
m98 p4711
g91 g28 z0
m30
(g1 x1. left over from the last job)
x0 y0
