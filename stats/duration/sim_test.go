package duration
import ("testing";"math/rand/v2";"math";"fmt";"gravid/stats/tail";"gravid/stats";"time";"sort")
func simDaily(r *rand.Rand,n int,med,sd,gap float64,late bool)[]Observation{
 obs:=make([]Observation,n)
 for i:=range obs{
  lay:=r.Float64()*gap; hatch:=lay+med*math.Exp(sd*r.NormFloat64())
  l:=math.Floor(hatch/gap)*gap
  obs[i]=Observation{Span:Span{l,l+gap},Origin:Span{0,gap}}
  if !late {obs[i].Origin=Span{lay,lay}}
 }
 return obs
}
func TestSim(t *testing.T){
 for _,d:=range []struct{n int;med float64;late bool}{{30,60,false},{30,60,true},{12,60,true},{30,120,true},{8,60,true}}{
 r:=rand.New(rand.NewPCG(7,uint64(d.n)))
 var cov,covplug,sds,meds []float64; bad:=0; t0:=time.Now(); cm:=0
 st:=map[stats.Status]int{}; R:=150
 for k:=0;k<R;k++{
  obs:=simDaily(r,d.n,d.med,.1,24,d.late)
  m,_:=FitAFT(obs,nil,AFTSettings{PenaliseSpread:true})
  st[m.Status]++
  if !m.Status.Usable(){bad++;continue}
  e,_:=m.Predict(nil,.9)
  if !e.Status.Usable() {bad++; continue}
  F:=func(x float64)float64{return tail.NormalLower(math.Log(x/d.med)/.1)}
  cov=append(cov,F(e.Hi)-F(e.Lo)); covplug=append(covplug,F(m.Quantile(nil,.95).Value)-F(m.Quantile(nil,.05).Value))
  sds=append(sds,m.Scale); q:=m.Quantile(nil,.5); meds=append(meds,q.Value); if q.Lo<=d.med&&d.med<=q.Hi{cm++}
 }
 mean:=func(x []float64)float64{s:=0.;for _,v:=range x{s+=v};return s/float64(len(x))}
 sort.Float64s(sds)
 fmt.Println(d,"bad",bad,st,"PI",mean(cov),"plug",mean(covplug),"sd med",sds[len(sds)/2],"median",mean(meds),"cover med",cm,time.Since(t0))
 }
}
