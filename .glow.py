import numpy as np, time
import glint.optics.seep as S
from glint.rig.scene import build
from glint.scene.read import scene_of
from glint.rig.survey import chart_of
s=build(scene_of({"room":{"radius_m":4.0,"wall_m":0.6},"tile":{"seam_mm":3.0},"ball":[{"shape":{"base":"icosidodecahedron","steps":[{"do":"raise","sides":5}]},"hang":{"height_m":2.4}}],"string":[{"leds":4,"led_mm":3.0}]}))
i=s.insides[0]
for bands,around,rays in ((25,48,1024),(33,64,1024),(49,96,1024),(25,48,8192)):
    S.BANDS,S.AROUND,S.RAYS=bands,around,rays
    S.vector_at.recompile() if 0 else None
    w=S._ways(); 
    # flux through sphere from table by quadrature
    t=time.time()
    solid=len(i.polygons.sides)-len(i.openings.through)
    wide=np.zeros((solid and len(i.openings.through),16,3)); wide[:,:i.openings.through.shape[1]]=i.openings.through
    places=w*i.near
    seen=S._seen(i.polygons,wide,i.openings.flat,i.facing,S.spheres_about(i.polygons),solid,places)*i.near**2
    f=(seen*w).sum(1).reshape(bands,around)
    th=np.linspace(0,np.pi,bands)
    ring=f.mean(1)*2*np.pi*np.sin(th)
    flux=np.trapezoid(ring,th)
    pad=i.openings.through
    if pad.shape[1]<i.polygons.corners.shape[1]: pad=np.pad(pad,((0,0),(0,i.polygons.corners.shape[1]-pad.shape[1]),(0,0)),mode="edge")
    fates,_=S._thrown(i.polygons,pad,i.facing,solid,4,rays)
    a=i.openings.areas
    print(bands,around,rays,"table/rays",flux/(np.pi*a.sum()), (a@fates/a.sum())[0], [(i.openings.kind==k).sum() for k in range(4)], [float(((a*fates[:,0])[i.openings.kind==k].sum())) for k in range(2)])
    for k in range(2): pass
