package logit
import ("testing";"fmt";"time")
func TestZ(t *testing.T){
 d:=Data{Y:[]float64{2,0,1,1,0,0},N:[]float64{2,2,1,1,2,1},X:[][]float64{{-1,-2,0,-1,0,2},{3,-3,0,2,-3,3},{-1,-3,0,2,-3,-3},{3,-2,1,3,-3,1}},Group:[]int{1,1,1,0,0,0}}
 for _,n:=range []int{50,100,200,400,1000,5000}{ t0:=time.Now(); m,_:=Fit(d,Options{Penalty:Firth,MaxIter:n}); fmt.Println(m.Status,m.Iterations,m.Coef,m.SE,m.Identifiability.ConditionIndex, time.Since(t0))}
 tb:=newTable(d); l:=newLikelihood(tb,true); pt:=startPoint(tb)
 s:=newScoring(l,holdNothing()); l.at(pt)
 for k:=0;k<60;k++{ l.finish(); s.direction(); fmt.Println(k,l.value,s.scaledScore(),s.length(),pt.b); if !s.advance(&pt){fmt.Println("stuck");break}}
}
