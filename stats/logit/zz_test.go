package logit
import ("testing";"math/rand/v2";"fmt")
func TestZZ(t *testing.T){
 for _,c:=range []struct{n,p,g,G int}{{2000,3,12,300},{600,3,12,60},{300,3,6,60},{500,3,60,60},{400,5,12,200},{150,3,6,75}} {
  o:=Options{Penalty:Firth}
  rng:=rand.New(rand.NewPCG(9,uint64(c.n)))
  d:=randomData(rng,c.n,c.p,c.g)
  cl:=make([]int,c.n)
  for i:=range cl { cl[i]=i*c.G/c.n }
  if c.g==c.G {cl=d.Group}
  m:=requireFit(t,d,o)
  e,_:=m.JackknifeExact(cl,0,.95)
  fmt.Print(c)
  for v:=range 4 {
  BEND=v&1==1; SPREAD=v&2==2
  a,_:=m.Jackknife(cl,0,.95)
  worst:=0.0
  for k:=range a.Coef { if x:=a.Coef[k]-e.Coef[k]; x*x>worst {worst=x*x} }
  fmt.Printf(" | %d %.5f %.2g",a.Approximated,a.SE/e.SE-1,worst/ (e.SE*e.SE))
 }
 fmt.Println()
 }
}
